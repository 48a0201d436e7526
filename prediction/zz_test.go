package prediction
import ("testing";"context";"fmt";"time";"halfsplit/sheet";"halfsplit/wiring")
func look(t *testing.T, f string)(*Predictor,*wiring.Circuit){
 s,err:=sheet.Load("../examples/"+f+".sheet.yaml"); if err!=nil{t.Fatal(err)}
 w,err:=s.Wire(s.Circuits[0].Value,wiring.Running); if err!=nil{t.Fatal(err)}
 p,err:=New(w,Settings{Cache:&Memory{}}); if err!=nil{t.Fatal(err)}
 return p,w
}
func show(p *Predictor, f *Forecast, nodes ...string){
 for i:=range f.Ways { w:=&f.Ways[i]
  fmt.Printf("   w %.2f %v per %.3g cols %d blown %v hot %v %s\n", w.Weight,w.Behaviour,w.Period,len(w.factor),w.Blown,w.Hot,w.Why)
  for _,n:=range nodes { s:="     "+n
   for _,a:=range liveAspects { m,d,_:=w.Predict(Observable{Aspect:a,Node:n},nil); s+=fmt.Sprintf("  %v %.4g±%.2g",a,m,d) }
   fmt.Println(s) }
 }
}
func TestP6(t *testing.T){
 p,w:=look(t,"p6")
 st:=time.Now()
 f,err:=p.Forecast(context.Background(),Bench{},nil); if err!=nil{t.Fatal(err)}
 fmt.Println("sound",time.Since(st)); show(p,f,"raw plus","+15","raw minus")
 var cases []Case; var names []string
 for _,pl:=range w.Parts { for _,a:=range pl.Acts(){ cases=append(cases,Case{Troubles:[]Trouble{{Part:pl.Name,Act:a}}}); names=append(names,pl.Name+" "+a.String()) } }
 st=time.Now()
 fs,err:=p.ForecastAll(context.Background(),cases,nil); if err!=nil{t.Fatal(err)}
 fmt.Println(len(cases),"cold",time.Since(st))
 st=time.Now()
 fs2,_:=p.ForecastAll(context.Background(),cases,nil)
 fmt.Println("cached",time.Since(st), len(fs2))
 for i:=range fs { fmt.Println(names[i]); show(p,fs[i],"raw plus","+15","raw minus") }
}
