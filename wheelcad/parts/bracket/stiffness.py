"""A first answer to "does it flex": the closed form's first frequency against the engine's firing. Frequencies Hz."""

from __future__ import annotations

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.models import Engine
from wheelcad.parts.bracket.model import FREQUENCY_METHOD, BracketDesign
from wheelcad.trade.excitation import MARGIN
from wheelcad.words import quantity, speed

CLOSED_FORM = "bracket design"  # the subject of its finding, which finite elements take the place of


def firing_finding(design: BracketDesign, engine: Engine | None) -> list[Finding]:
    """First frequency against the firing frequency at the highest speed; empty without cylinders and speed."""
    if engine is None or engine.cylinders is None or engine.max_speed is None:
        return []
    per_turn = engine.cylinders / 2
    firing = per_turn * engine.max_speed / 60
    crossed = design.first_frequency_hz * 60 / per_turn
    why = (
        f"firing shakes the engine at {quantity(firing, 'frequency', 0)} at {speed(engine.max_speed)}; a bracket a "
        f"third above that stays out of step with it. This one would be met at {speed(crossed)}"
    )
    if engine.firing_angles is not None:
        why += "; uneven firing also shakes at half orders"
    ok = design.first_frequency_hz >= MARGIN * firing
    return [
        Finding(
            Check.FIRST_FREQUENCY,
            CLOSED_FORM,
            round(design.first_frequency_hz, 1),
            "Hz",
            round(MARGIN * firing, 1),
            "pass" if ok else "warn",
            f"{why}. Found by {FREQUENCY_METHOD}",
            "Euler-Bernoulli beam theory; the margin is common practice, no source",
        )
    ]
