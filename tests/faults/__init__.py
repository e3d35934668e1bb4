"""Faults of a desk, a network, an operating system and of other people's programs, against the real daemon."""
