"""One file a change, never edited once released."""
