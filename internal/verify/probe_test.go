package verify
import ("testing";"os")
func TestProbe(t *testing.T){
 r:=File("/tmp/s3t/edge.json")
 WriteText(os.Stdout, []FileReport{r})
 if r.Err!=nil { t.Fatal(r.Err)}
}
