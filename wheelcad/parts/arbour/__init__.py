"""The arbour that a small plate wheel without bolts is turned and milled on."""
