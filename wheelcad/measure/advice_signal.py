"""Whether a controller would sync on a wheel: the one place where measuring asks the signal model."""

from __future__ import annotations

import numpy as np

from wheelcad.job.models import Job
from wheelcad.trade.loop import Floats


def syncs(centres_deg: Floats, teeth: int, missing: int, job: Job | None) -> bool:
    """Whether the gap of a wheel stands out at even speed, by a factor in both directions. centres_deg: (t,) of the
    teeth that are there. A wheel without a gap never does."""
    if missing < 1:
        return False
    rising = np.sort(np.mod(centres_deg, 360.0))
    steps = np.mod(np.roll(rising, -1) - rising, 360.0)[::-1]
    ratio = (missing + 2) / 2
    shares = steps / np.roll(steps, 1)
    gap = int(np.argmax(steps))
    return bool(shares[gap] > ratio and np.delete(shares, gap).max() < ratio)
