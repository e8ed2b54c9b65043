"""What is known of a body, as plain numbers that travel between processes without the kernel."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class BodyFigures:
    """volume mm³; centre x, y, z mm; polar: ∫(x²+y²) dV about the crank axis, mm⁵; valid: the kernel's own verdict;
    solids: how many there are."""

    volume: float
    centre: tuple[float, float, float]
    polar: float
    valid: bool
    solids: int

    @property
    def first(self) -> tuple[float, float, float]:
        """∫x, ∫y, ∫z dV, mm⁴."""
        x, y, z = self.centre
        return x * self.volume, y * self.volume, z * self.volume


@dataclass(frozen=True)
class KernelResult:
    """figures: of each NAME.step as re-read; undrilled: of the wheel before correction holes."""

    figures: dict[str, BodyFigures]
    undrilled: BodyFigures
