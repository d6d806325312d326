"""One file of judges a room."""
