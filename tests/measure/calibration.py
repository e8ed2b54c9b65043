"""Finds the handicap of `mechanism.py` by simulation, and prints the table that `handicap.py` holds.

    python -m tests.measure.calibration

Sound wheels with normal scatter are drawn; for each the greatest gain of any mechanism over "sound" is noted, in the
criterion's own terms. The handicap is the value that only ALARMS of them pass. Seeded: the same table every time.
"""

from __future__ import annotations

import math

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.mechanism import Bases, sine_basis

ALARMS = 0.012  # of sound wheels; 2 of 100 are allowed
COUNTS = (6, 7, 8, 10, 12, 14, 16, 18, 20, 24, 30, 36, 42, 48, 60, 72, 90, 120)


def gains(n: int, wheels: int, seed: int = 1) -> Floats:
    """(wheels,) greatest gain of a mechanism over sound, less its cost, for sound wheels of n slots."""
    bases = Bases(n)
    rng = np.random.default_rng([seed, n])
    out = []
    for _ in range(0, wheels, 500):
        e = rng.standard_normal((500, n))
        e -= e.mean(axis=1, keepdims=True)
        whole = (e**2).sum(axis=1)
        sines, _ = np.linalg.qr(sine_basis(360.0 * np.arange(n) / n + 5.0))
        gain = {
            "slip": bases.one_step(e)[0],
            "slips": bases.two_steps(e)[0],
            "backlash": bases.one_run(e)[0],
            "drift": (e @ bases.ramp) ** 2 / (bases.ramp @ bases.ramp),
            "off-centre": ((e @ sines) ** 2).sum(axis=1),
        }
        out.append(
            np.max([n * np.log(whole / (whole - g + 1e-12)) - bases.costs[name] for name, g in gain.items()], axis=0)
        )
    return np.concatenate(out)


def table(wheels: int = 20_000) -> dict[int, float]:
    """The handicap for each number of slots in COUNTS."""
    return {n: math.ceil(100 * float(np.quantile(gains(n, wheels), 1 - ALARMS))) / 100 for n in COUNTS}


def main() -> None:
    """Print the table as `handicap.py` holds it."""
    for n, value in table().items():
        print(f"    {n}: {value},")


if __name__ == "__main__":
    main()
