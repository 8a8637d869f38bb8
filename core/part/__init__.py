"""The customer's part: read, checked, placed, and its downskin found."""
