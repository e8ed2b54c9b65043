"""Everything in the engine frame, to look at: wheel, pulley, adapter, bracket, sensor and bolts."""
