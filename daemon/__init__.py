"""The program: command line, sockets, bus, voice, screens. All input, output, threads and clocks live here."""
