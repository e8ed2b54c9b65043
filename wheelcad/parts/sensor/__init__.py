"""The sensor as a body that takes up room."""
