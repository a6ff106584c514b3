package uncertainty

// SecondOrder returns the variance that the terms of the next order add to U² of [Propagate], for independent inputs with normal distributions:
// Σᵢ Σⱼ [½ (∂²f/∂xᵢ∂xⱼ)² + (∂f/∂xᵢ)(∂³f/∂xᵢ∂xⱼ²)] uᵢ² uⱼ², JCGM 100:2008, 5.1.2, note. The unit is that of the output squared. Where
// a curve flattens off it is negative. The derivatives are differences over the steps that Propagate uses; what those already put into U², a third of the
// pure third derivatives, is not counted again. Errors are those of Propagate; f is called up to two steps away.
func SecondOrder(f Formula, in []Input) (float64, error) {
	if err := checkInputs(in, nil); err != nil {
		return 0, err
	}
	p := newPoint(f, in)
	y, sum := p.value(), 0.0
	for i, a := range in {
		for j, b := range in {
			if a.U == 0 || b.U == 0 {
				continue
			}
			first, second, third := p.derivatives(i, j, y)
			sum += (second*second/2 + first*third) * a.U * a.U * b.U * b.U
			if i == j {
				sum -= first * third * a.step() * a.step() / 3 * a.U * a.U
			}
		}
	}
	return sum, p.err
}

// derivatives returns ∂f/∂xᵢ, ∂²f/∂xᵢ∂xⱼ and ∂³f/∂xᵢ∂xⱼ² by central differences; y is f at the estimates.
func (p *point) derivatives(i, j int, y float64) (first, second, third float64) {
	h, k := p.in[i].step(), p.in[j].step()
	up, down := p.value(shift{i, h}), p.value(shift{i, -h})
	first = (up - down) / (2 * h)
	if i == j {
		second = (up - 2*y + down) / (h * h)
		third = (p.value(shift{i, 2 * h}) - 2*(up-down) - p.value(shift{i, -2 * h})) / (2 * h * h * h)
		return first, second, third
	}
	upUp, upDown := p.value(shift{i, h}, shift{j, k}), p.value(shift{i, h}, shift{j, -k})
	downUp, downDown := p.value(shift{i, -h}, shift{j, k}), p.value(shift{i, -h}, shift{j, -k})
	second = (upUp - upDown - downUp + downDown) / (4 * h * k)
	third = (upUp - 2*up + upDown - downUp + 2*down - downDown) / (2 * h * k * k)
	return first, second, third
}
