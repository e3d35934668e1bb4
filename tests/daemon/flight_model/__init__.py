"""Tests of the flight model and its pilot."""
