"""When two sizes worked out from a job are one, and when a gap between them is none: computers round, shops do not."""

SAME_MM = 1e-6  # lengths, radii and places that differ by less are one
EXACT_MM = 1e-9  # rounding of one sum: what lies within it of a limit keeps the limit
