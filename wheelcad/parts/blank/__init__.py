"""The turned piece before slots."""
