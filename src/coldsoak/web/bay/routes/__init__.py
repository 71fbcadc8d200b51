"""One module per address family of the bay."""
