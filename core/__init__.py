"""Everything Underfin computes; knows no window."""
