"""What is heard of a session: which sound when, how each sounds, and who plays it."""
