"""Who trains now: one person, several in turn, or everybody with a sensor of their own."""
