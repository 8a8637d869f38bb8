"""Files for build preparation, written, read back and compared."""
