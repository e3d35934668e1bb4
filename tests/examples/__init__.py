"""The examples of the README, run as they stand there."""
