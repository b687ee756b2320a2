"""Checks of the product; mirrors its tree."""
