"""One panel a file."""
