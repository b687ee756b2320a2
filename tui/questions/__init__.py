"""What is asked before the first set and after the last."""
