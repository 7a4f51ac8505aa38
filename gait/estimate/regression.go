package estimate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrSingular says that the columns of a regression do not tell their effects
// apart: too few rows, or a column that others make up.
var ErrSingular = errors.New("the columns of the regression cannot be told apart")

// Fit is a least-squares fit.
type Fit struct {
	// Coefficients and SE, one for each column of the design.
	Coefficients, SE []float64
	// Residuals, one for each row.
	Residuals []float64
	// ResidualSD is sqrt(Σ residual² / Freedom); NaN when Freedom is 0.
	ResidualSD float64
	// Freedom is rows − columns.
	Freedom int
	// RSquared is 1 − Σ residual²/Σ(y−mean)²; it has its usual meaning when the
	// design holds a column of ones. NaN when y does not vary.
	RSquared float64
}

// LeastSquares fits y by the columns of a design, each as long as y, through
// an orthogonal (QR) factorisation of the columns scaled to unit length. The
// error is ErrSingular when rows are fewer than columns or columns are linearly
// dependent to working precision. It panics when lengths differ or a number is
// not finite.
func LeastSquares(y []float64, columns ...[]float64) (Fit, error) {
	rows, width := len(y), len(columns)
	mustBeFinite(y)
	if width == 0 || rows < width {
		return Fit{}, ErrSingular
	}
	design, scale := scaledDesign(rows, columns)
	var qr mat.QR
	qr.Factorize(design)
	var solved mat.Dense
	if err := qr.SolveTo(&solved, false, mat.NewDense(rows, 1, append([]float64(nil), y...))); err != nil {
		return Fit{}, ErrSingular
	}
	fit := Fit{Freedom: rows - width, Residuals: residuals(y, design, &solved)}
	squares := 0.0
	for _, r := range fit.Residuals {
		squares += r * r
	}
	fit.RSquared = 1 - squares/sumSquares(y, Mean(y))
	fit.ResidualSD = math.Sqrt(squares / float64(fit.Freedom))
	variances := inverseDiagonal(&qr, width)
	for j := range columns {
		fit.Coefficients = append(fit.Coefficients, solved.At(j, 0)/scale[j])
		fit.SE = append(fit.SE, fit.ResidualSD*math.Sqrt(variances[j])/scale[j])
	}
	return fit, nil
}

// scaledDesign puts the columns side by side, each divided by its length.
func scaledDesign(rows int, columns [][]float64) (*mat.Dense, []float64) {
	design, scale := mat.NewDense(rows, len(columns), nil), make([]float64, len(columns))
	for j, column := range columns {
		if len(column) != rows {
			panic("estimate: a column of the regression has another length")
		}
		mustBeFinite(column)
		if scale[j] = mat.Norm(mat.NewVecDense(rows, column), 2); scale[j] == 0 {
			scale[j] = 1
		}
		for i, v := range column {
			design.Set(i, j, v/scale[j])
		}
	}
	return design, scale
}

func residuals(y []float64, design, solved *mat.Dense) []float64 {
	var fitted mat.Dense
	fitted.Mul(design, solved)
	rest := make([]float64, len(y))
	for i, v := range y {
		rest[i] = v - fitted.At(i, 0)
	}
	return rest
}

// inverseDiagonal is the diagonal of (XᵀX)⁻¹ = R⁻¹R⁻ᵀ.
func inverseDiagonal(qr *mat.QR, width int) []float64 {
	var r mat.Dense
	qr.RTo(&r)
	upper := mat.NewTriDense(width, mat.Upper, nil)
	for i := range width {
		for j := i; j < width; j++ {
			upper.SetTri(i, j, r.At(i, j))
		}
	}
	var inverse mat.TriDense
	diagonal := make([]float64, width)
	if err := inverse.InverseTri(upper); err != nil {
		for i := range diagonal {
			diagonal[i] = math.NaN()
		}
		return diagonal
	}
	for i := range width {
		for j := i; j < width; j++ {
			diagonal[i] += inverse.At(i, j) * inverse.At(i, j)
		}
	}
	return diagonal
}

// Line fits y = intercept + slope·x: Coefficients are {intercept, slope}.
func Line(x, y []float64) (Fit, error) { return LeastSquares(y, ones(len(y)), x) }

func ones(n int) []float64 {
	one := make([]float64, n)
	for i := range one {
		one[i] = 1
	}
	return one
}
