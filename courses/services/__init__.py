"""What people can do with courses and the library; each module is one subject."""
