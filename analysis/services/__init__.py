"""What pages and signals may ask of the reading; each module is one subject."""
