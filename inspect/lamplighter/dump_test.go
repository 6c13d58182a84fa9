package lamplighter
import ("testing";"os")
func TestDump(t *testing.T) {
	os.WriteFile("/tmp/rl/E/t.glb", GLB(Options{}), 0o644)
	os.WriteFile("/tmp/rl/E/a.glb", GLB(Options{Pose: A, Names: Snake}), 0o644)
	os.WriteFile("/tmp/rl/E/p.glb", GLB(Options{Pose: A, Names: Prefix, Vertices: 100000}), 0o644)
}
