"""A virtual trainee and a virtual sensor: the whole radio path without hardware."""
