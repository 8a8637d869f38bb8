"""Texts of the window in other languages."""
