module rigloupe

go 1.26.0

require (
	github.com/chromedp/cdproto v0.159.0
	github.com/chromedp/chromedp v0.23.0
	github.com/evanw/esbuild v0.27.0
	github.com/go-gl/mathgl v1.2.0
	github.com/hajimehoshi/ebiten/v2 v2.9.4
	github.com/klauspost/compress v1.18.0
	github.com/norunners/vert v0.0.0-20221203075838-106a353d42dd
	github.com/qmuntal/gltf v0.28.0
	github.com/rogpeppe/go-internal v1.16.0
	github.com/tetratelabs/wazero v1.12.0
	golang.org/x/image v0.48.0
)

require (
	github.com/ebitengine/gomobile v0.0.0-20250923094054-ea854a63cce1 // indirect
	github.com/ebitengine/hideconsole v1.0.0 // indirect
	github.com/ebitengine/purego v0.9.0 // indirect
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/jezek/xgb v1.1.1 // indirect
	golang.org/x/sync v0.17.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/tools v0.37.0 // indirect
)
