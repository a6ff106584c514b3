package peers

import (
	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"

	"github.com/brushgear/brushgear/testdata/peers/workload"
)

func parseHCL(w *workload.Workload) (func() error, error) {
	src := []byte(w.HCL())
	return func() error {
		if _, diags := hclsyntax.ParseConfig(src, "workload.hcl", hcl.InitialPos); diags.HasErrors() {
			return diags
		}
		return nil
	}, nil
}
