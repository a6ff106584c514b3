module github.com/brushgear/brushgear

go 1.26

require (
	github.com/alecthomas/participle/v2 v2.1.4
	github.com/google/go-cmp v0.7.0
	github.com/stretchr/testify v1.12.1
	pgregory.net/rapid v1.3.0
)

require go.yaml.in/yaml/v3 v3.0.5 // indirect
