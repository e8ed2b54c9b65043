"""How fine the shown mesh of an assembly is."""

LOOKS = 0.1  # mm: how far the shown mesh may lie from the true surface
LOOKS_ANGLE = 0.4  # radians between its facets
