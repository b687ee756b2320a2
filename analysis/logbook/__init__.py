"""The progression log: what was done, kept for years."""
