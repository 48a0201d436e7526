package prediction
import ("testing";"context";"halfsplit/sheet";"halfsplit/wiring";"halfsplit/circuit")
func TestZZ(t *testing.T){
 for _,f:=range []string{"vt9","p6"}{
 s,err:=sheet.Load("../examples/"+f+".sheet.yaml"); if err!=nil{t.Fatal(err)}
 w,err:=s.Wire(s.Circuits[0].Value,wiring.Running); if err!=nil{t.Fatal(err)}
 sv,err:=w.Solver(circuit.Settings{}); if err!=nil{t.Fatal(err)}
 op,err:=sv.OperatingPoint(context.Background()); if err!=nil{t.Fatal(err)}
 r,h,err:=sv.Growth(op); t.Log(f,r,h,err, len(sv.Parameters()))
 }
}
