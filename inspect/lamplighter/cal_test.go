package lamplighter
import ("testing";"fmt")
func TestCal(t *testing.T) {
	for _, p := range []Pose{T,A} {
	for _, s := range []int{10000,14000,20000,30000,50000,70000,100000} {
	r := Build(Options{Pose:p, Vertices:s})
	m := &r.Meshes[0]
	par := make([]int32, m.Vertices())
	for i := range par { par[i] = int32(i) }
	find := func(a int32) int32 { for par[a] != a { par[a] = par[par[a]]; a = par[a] }; return a }
	for i := 0; i < len(m.Triangles); i += 3 { a,b,c := find(int32(m.Triangles[i])),find(int32(m.Triangles[i+1])),find(int32(m.Triangles[i+2])); par[a]=b; if find(b)!=find(c) {par[find(b)]=find(c)} }
	n := 0
	for i := range par { if find(int32(i)) == int32(i) { n++ } }
	if n > 1 { cnt := map[int32]int{}; for i := range par { cnt[find(int32(i))]++ }; for k, v := range cnt { fmt.Println(v, m.Positions[3*k:3*k+3]) } }
	fmt.Println(p, s, m.Vertices(), "shells", n, "euler", m.Vertices()-len(m.Triangles)/6)
	}}
}
