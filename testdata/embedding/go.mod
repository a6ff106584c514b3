module github.com/brushgear/brushgear/testdata/embedding

go 1.26

require github.com/brushgear/brushgear v0.0.0

require (
	github.com/alecthomas/participle/v2 v2.1.4 // indirect
	github.com/stretchr/testify v1.12.1
	go.yaml.in/yaml/v3 v3.0.5 // indirect
)

replace github.com/brushgear/brushgear => ../..
