"""The job file: what the user wrote, validated and frozen. Nothing is computed here."""
