"""The printed layout gauge."""
