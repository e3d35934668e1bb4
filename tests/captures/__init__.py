"""Captures of every adapter's format, and the States that they give."""
