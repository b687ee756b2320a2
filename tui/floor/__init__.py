"""The coach's side of a gym: every station at a glance, its records kept, words sent back."""
