"""Sheets of paper and standard scales.

Sizes: ISO 216 and ANSI/ASME Y14.1; frame and margins: ISO 5457 (20 mm on the filing edge, 10 mm on the others; A4
180 × 277 mm and A3 390 × 277 mm inside the frame). Scales: ISO 5455.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

FILING_MARGIN = 20.0  # mm, on the left
MARGIN = 10.0  # mm, the other three sides
CENTRING_MARK = 5.0  # mm, inward over the frame
TITLE_WIDTH = 180.0  # mm, ISO 7200

ENLARGED = (50, 20, 10, 5, 2)
REDUCED = (2, 5, 10, 20, 50, 100)
STANDARD_SCALES: tuple[Fraction, ...] = (
    *(Fraction(n) for n in ENLARGED),
    Fraction(1),
    *(Fraction(1, n) for n in REDUCED),
)


@dataclass(frozen=True)
class Paper:
    """A trimmed sheet in its usual way up, mm."""

    name: str
    width: float
    height: float

    @property
    def frame(self) -> tuple[float, float, float, float]:
        """xmin, ymin, xmax, ymax of the drawing space, mm from the sheet's lower left corner."""
        return FILING_MARGIN, MARGIN, self.width - MARGIN, self.height - MARGIN


PAPERS: dict[str, Paper] = {
    paper.name: paper
    for paper in (
        Paper("A4", 210, 297),
        Paper("A3", 420, 297),
        Paper("Letter", 215.9, 279.4),
        Paper("Tabloid", 431.8, 279.4),
    )
}
LANDSCAPE = " landscape"
PAPERS |= {
    small + LANDSCAPE: Paper(small, PAPERS[small].height, PAPERS[small].width) for small in ("A4", "Letter")
}  # for small parts, whose views stand side by side
ISO_PAPERS = ("A4", "A3")
US_PAPERS = ("Letter", "Tabloid")


def standard_scale(limit: float) -> float:
    """The largest standard scale that is not above `limit` (1.0 is full size); the smallest when all are above."""
    for scale in STANDARD_SCALES:
        if float(scale) <= limit * (1 + 1e-9):
            return float(scale)
    return float(STANDARD_SCALES[-1])


def step_scale(scale: float, steps: int) -> float:
    """The standard scale so many steps larger (or with a minus smaller) than `scale`, the last one where they end."""
    if steps == 0:
        return scale
    values = [float(s) for s in STANDARD_SCALES]
    at = values.index(standard_scale(scale)) - steps
    return values[min(max(at, 0), len(values) - 1)]


def scale_name(scale: float) -> str:
    """As a drawing says it: 1:1, 1:2, 5:1."""
    exact = Fraction(scale).limit_denominator(1000)
    return f"{exact.numerator}:{exact.denominator}"
