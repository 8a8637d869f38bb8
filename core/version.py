"""The program's name and version, as files and reports carry them."""

PROGRAM = "Underfin"
VERSION = "0.1.0"
