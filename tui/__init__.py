"""Command line, session glue and terminal screens; composes sensor and analysis, computes nothing."""
