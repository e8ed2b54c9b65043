"""Tooth patterns side by side for one blank, sensor, cutter, table and engine."""
