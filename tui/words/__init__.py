"""How things read, for people: words, figures, and one line for what happens."""
