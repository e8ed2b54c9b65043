"""What several parts need: lands and half sections of turned pieces, holes, and what all drawings share."""
