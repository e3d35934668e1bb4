"""The library of flights: recordings whose alerts must come out again as recorded."""
