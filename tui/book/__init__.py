"""What is done around the logbook without a sensor: plan, next, log, and what people type in."""
