package dsl

// Body returns the statements in the braces of a statement, nil if it has none.
func Body(st Stmt) []Stmt {
	switch st := st.(type) {
	case *Block:
		return st.Body
	case *Variant:
		return st.Body
	case *Under:
		return st.Body
	case *Replace:
		return []Stmt{st.Decl}
	case *Test:
		return st.Body
	case *Fault:
		return st.Body
	case *Effect:
		return st.Body
	case *Remedy:
		return st.Body
	case *Record:
		return st.Body
	case *Pass:
		return st.Body
	}
	return nil
}
