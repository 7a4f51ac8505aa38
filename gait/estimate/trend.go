package estimate

// Trend is a straight line through values over time.
type Trend struct {
	// Slope is the change per unit of time with its interval.
	Slope Estimate
	// Intercept is the value of the line at time 0.
	Intercept float64
}
