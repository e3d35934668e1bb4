"""Panel: a page on the tablet beside you, fed only by the bus."""
