"""Sensors of other makers, described in a TOML file instead of code (`firmware_notes/own_sensor.md`)."""
