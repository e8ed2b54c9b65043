"""What the scanner's bed does to a picture, and taking it out.

A carriage that runs unevenly stretches the picture along the bed, by up to 0.6 % on home scanners, and not everywhere
alike. A turned rim is round to a few hundredths of a millimetre: what is not round in the picture is the bed's, as
long as it is smooth. So one scan mends itself with a polynomial along one axis and a shear, fitted to rim and bore,
and the stated uncertainty holds what that leaves. Several scans of the wheel turned in between tell the rest apart:
the wheel's errors turn with it and the bed's do not, and both close round the circle (the multi-step method).

Source of the method: Estler, "Uncertainty Analysis for Angle Calibrations Using Circle Closure", Journal of Research
of NIST 103 (1998), of which the abstract and introduction were seen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats

DEGREE = 7  # of the polynomial along the bed
PRIOR = 0.01  # standard deviation of its terms, of the radius: 1 % of different axes are met
TRIM = 4.0  # robust standard deviations beyond which a point of the rim is dust
HARMONICS = 4  # of the bed's error round the circle, told apart by turning
LEAST_BED_DEG = 0.005  # standard deviation that is allowed the bed after straightening, at least
LEAST_TURN_DEG = 15.0  # between scans that are to tell the bed from the wheel


@dataclass(frozen=True, eq=False)
class Bed:
    """Straightens pixels: about `middle`, in units of `size` pixels. axis: 0 when the carriage ran along x, 1 along y.

    terms: stretch and shear first, then higher powers. rim, bore: (x, y, radius) after straightening. rest_rim: (t,)
    mean distance of each tooth's top from the circle, in units of size.
    """

    middle: Floats
    size: float
    axis: int
    terms: Floats
    rim: Floats
    bore: Floats | None
    rest_rim: Floats
    spread: float

    def straight(self, points: Floats) -> Floats:
        """Points (…, 2) as an even bed would have shown them, in units of size about the middle."""
        return _straightened((points - self.middle) / self.size, self.axis, self.terms)


def _straightened(p: Floats, axis: int, terms: Floats) -> Floats:
    along, across = p[..., axis], p[..., 1 - axis]
    moved = along + terms[0] * along + terms[1] * across
    power = along
    for term in terms[2:]:
        power = power * along
        moved = moved + term * power
    out = np.empty_like(p)
    out[..., axis], out[..., 1 - axis] = moved, across
    return out


def stretched(points: Floats, bed: Bed) -> Floats:
    """Points (…, 2) of the picture with the bed's stretch and shear taken out and nothing else, in units of its size:
    the higher powers are known under the wheel alone."""
    return _straightened((points - bed.middle) / bed.size, bed.axis, bed.terms[:2])


def fit_bed(tops: Floats, bore: Floats | None, middle: Floats, size: float) -> Bed:
    """The bed under a wheel whose tooth tops (t, k, 2) and bore (m, 2) are round; pixels. The carriage's axis is the
    one that leaves less."""
    beds = [_fitted(tops, bore, middle, size, axis) for axis in (1, 0)]
    return beds[0] if beds[0].spread < 1.2 * beds[1].spread else beds[1]


def _fitted(tops: Floats, bore: Floats | None, middle: Floats, size: float, axis: int) -> Bed:
    from scipy.optimize import least_squares

    rim = (tops.reshape(-1, 2) - middle) / size
    inner = np.zeros((0, 2)) if bore is None else (bore - middle) / size
    rim_kept, inner_kept = np.isfinite(rim[:, 0]), np.isfinite(inner[:, 0])
    inner_radius = float(np.median(np.hypot(*inner[inner_kept].T))) if inner_kept.any() else 0.0
    x = np.concatenate([[0.0, 0.0, 1.0, 0.0, 0.0, inner_radius], np.zeros(DEGREE + 1)])
    prior = PRIOR / np.sqrt(1 + np.arange(DEGREE + 1))

    def rest(x: Floats, points: Floats, circle: slice) -> Floats:
        p = _straightened(points, axis, x[6:])
        cx, cy, r = x[circle]
        return np.asarray(np.hypot(p[:, 0] - cx, p[:, 1] - cy) - r)

    noise = 0.002
    for _ in range(3):
        outer, inside = rim[rim_kept], inner[inner_kept]

        def every(x: Floats, outer: Floats = outer, inside: Floats = inside, noise: float = noise) -> Floats:
            parts = [rest(x, outer, slice(0, 3)) / noise, x[6:] / prior]
            parts.append(rest(x, inside, slice(3, 6)) / noise if len(inside) else x[3:6] - [0, 0, inner_radius])
            return np.concatenate(parts)

        x = least_squares(every, x, method="lm" if len(outer) > 40 else "trf").x
        left = rest(x, rim, slice(0, 3))
        noise = max(1.4826 * float(np.nanmedian(np.abs(left))), 1e-6)
        rim_kept = np.isfinite(left) & (np.abs(left) <= TRIM * noise)
        if len(inner):
            inner_left = rest(x, inner, slice(3, 6))
            own = max(1.4826 * float(np.nanmedian(np.abs(inner_left))), noise)
            inner_kept = np.isfinite(inner_left) & (np.abs(inner_left) <= TRIM * own)
    left = np.where(rim_kept, rest(x, rim, slice(0, 3)), np.nan).reshape(tops.shape[:2])
    seen = np.isfinite(left).any(axis=1)
    means = np.nanmean(left[seen], axis=1)
    circle = None if not inner_kept.any() else x[3:6]
    return Bed(middle, size, axis, x[6:], x[:3], circle, means, noise)


@dataclass(frozen=True, eq=False)
class Closed:
    """Several scans brought together. angles: (f,) of each edge from the first scan's zero; sd_deg: of one edge;
    turned: (scans,) by how much the wheel was turned; bed_deg: greatest error of the bed that came out."""

    angles: Floats
    sd_deg: float
    turned: Floats
    bed_deg: float


def close_circle(seen: Floats, noise_deg: float, bed_deg: float) -> Closed:
    """Angles (scans, f) of the same edges in each scan, degrees, unwrapped along f: the wheel's own, the bed's taken
    out.

    seen = turn of the scan + place on the wheel + bed's error there. The bed's error is a sum of few harmonics of the
    angle in the picture. Least squares; bed_deg: standard deviation that each harmonic is held to,
    since some cannot be told from the wheel (the third, of three scans turned by a third of a turn).
    """
    scans, count = seen.shape
    place = np.radians(seen.ravel())
    waves = np.column_stack([f(h * place) for h in range(1, HARMONICS + 1) for f in (np.cos, np.sin)])
    turn = np.repeat(np.eye(scans), count, axis=0)[:, 1:]
    wheel = np.tile(np.eye(count), (scans, 1))
    a = np.column_stack([wheel, turn, waves])
    prior = np.zeros((waves.shape[1], a.shape[1]))
    prior[:, -waves.shape[1] :] = np.eye(waves.shape[1])
    start = float(np.mean(seen[0]))
    b = seen.ravel() - start
    weight = max(noise_deg, 1e-4)
    system = np.concatenate([a / weight, prior / max(bed_deg, LEAST_BED_DEG)])
    target = np.concatenate([b / weight, np.zeros(len(prior))])
    solution = np.linalg.lstsq(system, target, rcond=None)[0]
    left = b - a @ solution
    freedom = max(1, len(b) - count - scans)
    factor = max(1.0, float(np.sqrt((left**2).sum() / freedom)) / weight)
    covariance = np.linalg.inv(system.T @ system)[:count, :count] * factor**2
    centred = covariance - covariance.mean(axis=0) - covariance.mean(axis=1)[:, None] + covariance.mean()
    sd = float(np.sqrt(np.trace(centred) / count))
    bed = waves[:count] @ solution[-waves.shape[1] :]
    turned = np.concatenate([[0.0], solution[count : count + scans - 1]])
    return Closed(solution[:count] + start, sd, turned, float(np.abs(bed).max()))
