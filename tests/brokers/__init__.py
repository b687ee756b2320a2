"""Real brokers for tests, each in a process of its own; certificates; a proxy that does to a link what networks do."""
