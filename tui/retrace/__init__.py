"""A session looked at again, at every scale: what was counted, when, and what the motion says to it."""
