"""Real flights, as aircraft broadcast them: recordings that ship inside the package `traffic`, on real runways.

Nothing is copied from that package: it is found where it is installed, and its data files are read as they are.
"""
