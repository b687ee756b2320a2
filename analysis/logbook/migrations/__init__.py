"""How a logbook of any earlier form becomes one of the present form; run by `analysis.logbook.file`."""
