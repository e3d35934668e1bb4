"""Settings and the packaged defaults: thresholds, phrases, layouts, airfields, plans."""
