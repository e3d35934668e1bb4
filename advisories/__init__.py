"""The engine: what is true, and what is said. Pure: no sockets, files, threads, clocks or logging set-up."""
