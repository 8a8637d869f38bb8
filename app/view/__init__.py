"""The 3-D view."""
