"""A real wheel from a mesh, a scan or a list of angles."""
