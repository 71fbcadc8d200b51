"""One module per change, in the order of their numbers."""
