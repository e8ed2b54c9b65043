"""One description of a drawing and its back ends: DXF, PDF, SVG."""
