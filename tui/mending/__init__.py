"""What is put right while a session goes on: by a key, or by taking again what was recorded."""
