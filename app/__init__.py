"""What the engineer sees and touches; computes nothing."""
