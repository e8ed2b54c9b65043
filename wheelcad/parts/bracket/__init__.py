"""The sensor's bracket."""
