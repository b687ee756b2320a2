"""Bytes of a device, by whatever way they come, into numbered samples in SI units."""
