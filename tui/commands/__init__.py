"""The command line of each family of commands: parses, and hands over."""
