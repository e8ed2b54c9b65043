"""The toothed wheel."""
