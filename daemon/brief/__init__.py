"""The brief: a plan worked out before flight, on one page."""
