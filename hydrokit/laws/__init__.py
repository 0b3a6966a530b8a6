"""Physical laws: pure functions over arrays, SI throughout, each with its source."""
