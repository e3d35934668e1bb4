"""Pictures for the README, made from real runs."""
