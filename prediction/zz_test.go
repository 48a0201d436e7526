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
func TestSlow(t *testing.T){
 p,w:=look(t,"p6"); ctx:=context.Background()
 p.Forecast(ctx,Bench{},nil)
 for _,pl:=range w.Parts { for _,a:=range pl.Acts(){ st:=time.Now(); f,err:=p.Forecast(ctx,Bench{},[]Trouble{{Part:pl.Name,Act:a}}); if err!=nil{t.Fatal(err)}
  if d:=time.Since(st); d>200*time.Millisecond { fmt.Println(d.Round(time.Millisecond),pl.Name,a,len(f.Ways),f.Ways[0].Behaviour,f.Ways[0].Why,f.Ways[0].Blown) } } }
}

func TestVT(t *testing.T){
 p,w:=look(t,"vt9"); ctx:=context.Background()
 cold,_:=p.cold.Failing(wiring.Failing{})
 st:=time.Now()
 o,err:=p.start(ctx,cold,nil); if err!=nil{t.Fatal(err)}
 fmt.Println(time.Since(st),o.behaviour,o.period,o.why,"began",o.began)
 for i,n:=range p.nodes { fmt.Println("  ",n,o.values[4*i:4*i+4]) }
 for _,pl:=range w.Parts { if pl.Name!="C3"&&pl.Name!="R3"&&pl.Name!="C12"&&pl.Name!="OC1"&&pl.Name!="C14" {continue}
  for _,a:=range pl.Acts(){ 
  f:=wiring.Failing{Acts:[]wiring.Acting{{Part:pl.Name,Act:a}}}
  tw,_:=p.drawn.Failing(f); cd,_:=p.cold.Failing(f)
  st:=time.Now(); o,err:=p.like(ctx,tw,cd,o); if err!=nil{t.Fatal(err)}
  fmt.Println(pl.Name,a,time.Since(st).Round(time.Millisecond),o.behaviour,o.period,o.why,o.blown)
  if o.values==nil{continue}
  for i,n:=range p.nodes { if n=="+5"||n=="controller supply"||n=="collector"||n=="+12" {fmt.Println("  ",n,o.values[4*i:4*i+4])} }
 }}
}
