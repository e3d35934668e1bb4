"""Hours of mixed flights with random faults, through real sockets."""
