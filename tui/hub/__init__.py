"""The embedded broker, for a home or a small gym; `mosquitto/` holds a larger broker's configuration."""
