"""What is behind it, when it fails, and which test tells most."""
