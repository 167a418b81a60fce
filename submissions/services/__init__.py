"""What people do with papers, statements, rulings and finds; each module one subject."""
