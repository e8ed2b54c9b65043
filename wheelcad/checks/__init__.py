"""Opens the written files and measures them."""
