"""Checks of a finished sink; each returns findings."""
