"""Speed, as ratios: `python -m tests.bench`. Never part of a timed test."""
