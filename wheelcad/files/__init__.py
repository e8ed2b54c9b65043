"""Writers and readers of STEP, STL, 3MF, DXF, GLB and CSV: atomic, reproducible, knowing no part."""
