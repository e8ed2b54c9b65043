"""One folder a part: its numbers (design), its solid (CadQuery) and what its drawing shows (sheet)."""
