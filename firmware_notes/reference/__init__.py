"""Reference firmware in MicroPython; README.md says how it gets onto a board."""
