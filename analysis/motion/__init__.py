"""Samples in, bouts of reps with phase times out; pure: no clock, no file, no screen."""
