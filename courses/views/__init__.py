"""Pages of people, courses and the library."""
