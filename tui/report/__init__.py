"""A report as one HTML file: complete by itself, readable on a phone and printed in grey."""
