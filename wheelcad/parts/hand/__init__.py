"""Slots made by hand: marked from chords or from a dividing paper, drilled, sawn and filed."""
