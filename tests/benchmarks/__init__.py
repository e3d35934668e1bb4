"""What it costs: `python -m tests.benchmarks`. A program for people; no test times anything."""
