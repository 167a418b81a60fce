"""Pages about the reading of a score."""
