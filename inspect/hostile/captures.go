package hostile

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"strings"
)

const walk = "HIERARCHY\nROOT Hips\n{\n OFFSET 0 0 0\n CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\n JOINT Spine\n {\n  OFFSET 0 10 0\n  CHANNELS 3 Zrotation Xrotation Yrotation\n  End Site\n  {\n   OFFSET 0 10 0\n  }\n }\n}\nMOTION\nFrames: 2\nFrame Time: .033\n0 9 0 1 2 3 4 5 6\n0 9 0 2 3 4 5 6 7\n"

// captures are hostile files of motion capture.
func captures() (all []File) {
	for i, row := range [][2]string{
		{"Frames: 2", "Frames: 1000000000"}, {"Frames: 2", "Frames: -1"}, {"Frames: 2", "Frames: 2.5"}, {"Frames: 2", "Frames: nan"}, {"Frames: 2", "Frames:"},
		{".033", "1e9"}, {".033", "-1"}, {".033", "0"}, {".033", "1e-300"}, {".033", "nan"}, {".033", "1e400"},
		{"CHANNELS 6", "CHANNELS 1000000000"}, {"CHANNELS 6", "CHANNELS -1"}, {"CHANNELS 6", "CHANNELS x"}, {"CHANNELS 3", "CHANNELS 1000"},
		{"OFFSET 0 10 0", "OFFSET 1e38 1e38 1e38"}, {"OFFSET 0 10 0", "OFFSET 1e400 0 0"}, {"OFFSET 0 10 0", "OFFSET nan inf -inf"}, {"OFFSET 0 10 0", "OFFSET a b c"},
		{"0 9 0 1 2 3 4 5 6", "0 9 0 1 2 3 4"}, {"0 9 0 2 3 4 5 6 7\n", "0 9 0 2 3"}, {"1 2 3 4 5 6", "1e38 1e38 1e38 nan inf 1e308"},
		{"{", "}"}, {"}", "{"}, {"}\nMOTION", "MOTION"}, {"HIERARCHY", ""}, {"ROOT", "JOINT"}, {"End Site", "End"}, {"JOINT Spine", "ROOT Spine"}, {"MOTION", "MOTION\nMOTION"},
	} {
		all = append(all, File{Name: fmt.Sprintf("capture-%d.bvh", i), Make: func() []byte { return []byte(strings.Replace(walk, row[0], row[1], 1)) }})
	}
	for _, share := range []int{5, 20, 40, 60, 75, 85, 95} {
		all = append(all, File{Name: fmt.Sprintf("capture-cut-%d.bvh", share), Make: func() []byte { return []byte(walk[:len(walk)*share/100]) }})
	}
	text := func(s func() string) func() []byte { return func() []byte { return []byte(s()) } }
	return append(all,
		File{Name: "capture-deep.bvh", Make: text(func() string { return "HIERARCHY ROOT a {" + strings.Repeat("JOINT b {", 1_000_000) })},
		File{Name: "capture-wide.bvh", Make: text(func() string { return "HIERARCHY " + strings.Repeat("ROOT r{}", 1_000_000) })},
		File{Name: "capture-braces.bvh", Make: text(func() string { return "HIERARCHY " + strings.Repeat("}", 5_000_000) })},
		File{Name: "capture-word.bvh", Make: text(func() string { return "HIERARCHY ROOT " + strings.Repeat("x", 10<<20) })},
		File{Name: "capture-number.bvh", Make: text(func() string { return strings.Replace(walk, "0 10 0", strings.Repeat("9", 5<<20)+" 0 0", 1) })},
		File{Name: "capture-commas.bvh", Make: text(func() string { return walk + strings.Repeat("1,2,", 2_000_000) })},
		File{Name: "capture-nonsense.bvh", Make: text(func() string {
			return "HIERARCHY ROOT a { OFFSET 0 0 0 " + strings.Repeat("x\n", 2_000_000) + "} MOTION"
		})},
		File{Name: "capture-channels.bvh", Make: text(func() string {
			return "HIERARCHY ROOT a { OFFSET 0 0 0 CHANNELS 1000 " + strings.Repeat("Xrotation ", 1000) + "} MOTION Frames: 3000 Frame Time: .01 " + strings.Repeat("1 ", 3_000_000)
		})},
		File{Name: "capture-frames.bvh", Large: true, Make: text(func() string {
			return "HIERARCHY ROOT a { OFFSET 0 0 0 CHANNELS 1 Xrotation JOINT b { OFFSET 0 1 0 } } MOTION Frames: 3000000 Frame Time: .01 " + strings.Repeat("1\n", 3_000_000)
		})},
	)
}

// Zip packs entries of name and content, in this order.
func Zip(entries ...[2]string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, e := range entries {
		w, err := z.Create(e[0])
		if err == nil {
			_, err = w.Write([]byte(e[1]))
		}
		if err != nil {
			panic(err)
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// packed are zips that unpack to more than they are, or that lie.
func packed() []File {
	const head = `{"asset":{"version":"2.0"},`
	files := []File{
		{Name: "bomb-spaces.zip", Make: func() []byte {
			return Zip([2]string{"m.gltf", head + `"nodes":[{}]` + strings.Repeat(" ", 200<<20) + "}"})
		}},
		{Name: "bomb-nodes.zip", Make: func() []byte {
			return Zip([2]string{"m.gltf", head + `"nodes":[{}` + strings.Repeat(",{}", 15_000_000) + "]}"})
		}},
		{Name: "bomb-side.zip", Make: func() []byte {
			return Zip([2]string{"m.gltf", head + `"buffers":[{"uri":"a.bin","byteLength":4}],"bufferViews":[{"buffer":0,"byteLength":4}],"accessors":[{"bufferView":0,"count":1,"type":"SCALAR","componentType":5126}],"animations":[{"samplers":[{"input":0,"output":0}],"channels":[]}]}`},
				[2]string{"a.bin", strings.Repeat("\x00", 200<<20)})
		}},
		{Name: "zip-in-zip.zip", Make: func() []byte {
			return Zip([2]string{"m.zip", string(Zip([2]string{"m.gltf", head + `"nodes":[]}`}))})
		}},
		{Name: "zip-paths.zip", Make: func() []byte {
			return Zip([2]string{"../../../../tmp/m.gltf", head + `"buffers":[{"uri":"../../../../etc/passwd","byteLength":4}]}`}, [2]string{"/etc/x.bin", "x"}, [2]string{`..\..\y.bin`, "x"})
		}},
		{Name: "zip-entries.zip", Make: func() []byte {
			var many [][2]string
			for i := range 65_000 {
				many = append(many, [2]string{fmt.Sprintf("d%d/m.gltf", i), ""})
			}
			return Zip(many...)
		}},
		{Name: "zip-models.zip", Make: func() []byte {
			var many [][2]string
			for i := range 2000 {
				many = append(many, [2]string{fmt.Sprintf("m%d.gltf", i), head + `"meshes":[{"primitives":[]}]}`})
			}
			return Zip(many...)
		}},
		{Name: "zip-twice.zip", Make: func() []byte {
			return Zip([2]string{"m.gltf", head + `"nodes":[]}`}, [2]string{"m.gltf", head + `"nodes":[{}]}`}, [2]string{"M.GLTF", "{"})
		}},
		{Name: "zip-empty.zip", Make: func() []byte { return Zip() }},
		{Name: "zip-names.zip", Make: func() []byte {
			return Zip([2]string{strings.Repeat("n", 60_000) + ".gltf", "{"}, [2]string{"\x1b[31m.glb", "x"})
		}},
	}
	sound := func() []byte { return Zip([2]string{"m.glb", string(figure().glb())}) }
	n := len(sound())
	for _, back := range []int{4, 8, 10, 12, 16, 20, 22, 40, 46} {
		files = append(files, File{Name: fmt.Sprintf("zip-lies-%d.zip", back), Make: func() []byte {
			b := sound()
			binary.LittleEndian.PutUint16(b[n-back:], 0xFFFF)
			return b
		}})
	}
	return append(files, File{Name: "zip-cut.zip", Make: func() []byte { return sound()[:n*2/3] }},
		File{Name: "zip-scrambled.zip", Make: func() []byte {
			b, rnd := sound(), rand.New(rand.NewPCG(1, 2))
			for i := 60; i < n-120; i++ {
				b[i] ^= byte(rnd.UintN(256))
			}
			return b
		}})
}
