"""A session at a distance: what a station tells, what a coach says, and how neither is lost (MQTT 3.1.1)."""
