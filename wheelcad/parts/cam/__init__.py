"""The target on the cam."""
