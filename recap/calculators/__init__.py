"""The bench sums of `recap calc`: a formula, its source and the caution that belongs to it."""
