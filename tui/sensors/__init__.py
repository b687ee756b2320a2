"""The commands about sensors, and what is known of each."""
