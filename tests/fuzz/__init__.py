"""Anything at all goes in; out comes a result or the one error that is documented."""
