"""A recorded session again."""
