"""The spacer between pulley and plate wheel."""
