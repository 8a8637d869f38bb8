"""Coupons, trials and what the build itself shows."""
