"""Balance: what is heavy, and the holes that take it out."""
