"""Flights by the hundred, normal and faulty, and what the engine said about them: detection, lead time, nuisance."""
