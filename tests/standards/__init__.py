"""Published values, each with its source, held against what the advisories compute."""
