"""The powder gap: how wide it should be and how wide it is."""
