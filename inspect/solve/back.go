package solve

// wide is how many right sides go through the factors together: each of their numbers is
// then fetched once for all of them.
const wide = 8

// Solve puts the answers x of A·x = b in place of b: k right sides at once, n·k numbers
// row by row. look as in Factor.
func (f *Factors) Solve(b []float64, k int, look func(done float64) error) error {
	x := make([]float64, wide*f.n)
	for c := 0; c < k; c += wide {
		m := min(wide, k-c)
		clear(x)
		for i, v := range f.order {
			copy(x[wide*i:], b[k*int(v)+c:k*int(v)+c+m])
		}
		if m == 1 {
			f.one(x)
		} else {
			f.forward(x)
			if look != nil {
				if err := look((float64(c) + float64(m)/2) / float64(k)); err != nil {
					return err
				}
			}
			f.backward(x)
		}
		for i, v := range f.order {
			copy(b[k*int(v)+c:k*int(v)+c+m], x[wide*i:])
		}
		if look != nil {
			if err := look(float64(c+m) / float64(k)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *Factors) forward(x []float64) {
	for j, p := range f.pivot {
		y := (*[wide]float64)(x[wide*j:])
		some := false
		for c := range y {
			y[c] /= p
			some = some || y[c] != 0
		}
		if !some { // sources stand in few places: most columns have nothing to hand on yet
			continue
		}
		from, to := f.start[j], f.start[j+1]
		values := f.value[from:to]
		for k, r := range f.row[from:to] {
			z, v := (*[wide]float64)(x[wide*r:]), values[k]
			for c := range z {
				z[c] -= v * y[c]
			}
		}
	}
}

func (f *Factors) backward(x []float64) {
	for j := f.n - 1; j >= 0; j-- {
		y := (*[wide]float64)(x[wide*j:])
		from, to := f.start[j], f.start[j+1]
		values := f.value[from:to]
		for k, r := range f.row[from:to] {
			z, v := (*[wide]float64)(x[wide*r:]), values[k]
			for c := range z {
				y[c] -= v * z[c]
			}
		}
		p := f.pivot[j]
		for c := range y {
			y[c] /= p
		}
	}
}

// one is both ways for a single right side.
func (f *Factors) one(x []float64) {
	for j, p := range f.pivot {
		x[wide*j] /= p
		y := x[wide*j]
		for k := f.start[j]; k < f.start[j+1]; k++ {
			x[wide*f.row[k]] -= f.value[k] * y
		}
	}
	for j := f.n - 1; j >= 0; j-- {
		y := x[wide*j]
		for k := f.start[j]; k < f.start[j+1]; k++ {
			y -= f.value[k] * x[wide*f.row[k]]
		}
		x[wide*j] = y / f.pivot[j]
	}
}
