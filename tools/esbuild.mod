module halfsplit/tools/esbuild

go 1.26.0

tool github.com/evanw/esbuild/cmd/esbuild

require (
	github.com/evanw/esbuild v0.28.2 // indirect
	golang.org/x/sys v0.0.0-20220715151400-c0bba94af5f8 // indirect
)
