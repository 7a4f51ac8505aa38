package decimal

// Reach gives tests how far before its end Rows may stop.
const Reach = reach

// Able gives tests whether Rows reads anything here.
func Able() bool { return able() }
