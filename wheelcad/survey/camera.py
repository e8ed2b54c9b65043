"""A camera as numbers: where a point of the engine appears in a picture, and how that changes with everything unknown.

Camera frame: x to the picture's right, y down, z into the scene, mm. A point (x, y, z) appears at
u = f·(1 + k1·r² + k2·r⁴)·x/z + half the width + offset, with r² = (x/z)² + (y/z)²; pixels count from the middle of the
upper left one. Rotations are given as turns (rotation vectors, radians) on top of a base rotation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats

NEAREST_MM = 1.0  # a point nearer to the camera, or behind it, is taken to be there: steps on the way may go astray


@dataclass(frozen=True)
class Camera:
    """One picture's camera: focal_px, k1, k2, centre_px (u, v), engine -> camera: rotation (3, 3), shift_mm (3,)."""

    focal_px: float
    k1: float
    k2: float
    centre_px: tuple[float, float]
    rotation: Floats
    shift_mm: Floats

    @property
    def place_mm(self) -> Floats:
        """Where the camera stands, (3,)."""
        return np.asarray(-self.rotation.T @ self.shift_mm, dtype=float)


def project(points_mm: Floats, camera: Camera) -> Floats:
    """Pixels (…, 2) at which points (…, 3) of the camera's world appear; nan for what lies behind the camera."""
    seen = np.asarray(points_mm, dtype=float) @ camera.rotation.T + camera.shift_mm
    with np.errstate(divide="ignore", invalid="ignore"):
        flat = seen[..., :2] / seen[..., 2:]
    r2 = (flat**2).sum(axis=-1, keepdims=True)
    pixels = camera.focal_px * (1.0 + camera.k1 * r2 + camera.k2 * r2**2) * flat + np.array(camera.centre_px)
    return np.asarray(np.where(seen[..., 2:] > NEAREST_MM, pixels, np.nan), dtype=float)


def skew(v: Floats) -> Floats:
    """Matrices (…, 3, 3) that take the cross product of v (…, 3) with what they are applied to."""
    out = np.zeros((*v.shape[:-1], 3, 3))
    out[..., 0, 1], out[..., 0, 2], out[..., 1, 2] = -v[..., 2], v[..., 1], -v[..., 0]
    out[..., 1, 0], out[..., 2, 0], out[..., 2, 1] = v[..., 2], -v[..., 1], v[..., 0]
    return out


def turned(turn: Floats) -> tuple[Floats, Floats]:
    """Rotations (n, 3, 3) by turns (n, 3), and the matrices J for which a change d of the turn rotates by J·d on top.

    Rodrigues' formula and the left Jacobian of the rotation group.
    """
    angle = np.linalg.norm(turn, axis=-1)[:, None, None]
    k = skew(turn)
    k2 = k @ k
    small = angle < 1e-5
    safe = np.where(small, 1.0, angle)
    a = np.where(small, 1.0 - angle**2 / 6, np.sin(safe) / safe)
    b = np.where(small, 0.5 - angle**2 / 24, (1.0 - np.cos(safe)) / safe**2)
    c = np.where(small, 1.0 / 6 - angle**2 / 120, (safe - np.sin(safe)) / safe**3)
    eye = np.eye(3)
    return eye + a * k + b * k2, eye + b * k + c * k2


def pixels_of(seen: Floats, focal: Floats, k1: Floats, k2: Floats) -> tuple[Floats, Floats, Floats]:
    """Offsets from the picture's centre (n, 2) of points in their camera's frame (n, 3), how they change with the point
    (n, 2, 3), and with log focal, k1 and k2 (n, 2, 3). focal, k1, k2: (n,)."""
    z = np.maximum(seen[:, 2], NEAREST_MM)
    flat = seen[:, :2] / z[:, None]
    r2 = (flat**2).sum(axis=1)
    stretch = 1.0 + k1 * r2 + k2 * r2**2
    growth = 2.0 * (k1 + 2.0 * k2 * r2)  # of the stretch with r²/2
    offset = (focal * stretch)[:, None] * flat
    by_flat = focal[:, None, None] * (
        stretch[:, None, None] * np.eye(2) + growth[:, None, None] * flat[:, :, None] * flat[:, None, :]
    )
    by_point = np.zeros((len(z), 2, 3))
    by_point[:, :, :2] = by_flat / z[:, None, None]
    by_point[:, :, 2] = -(by_flat @ flat[:, :, None])[:, :, 0] / z[:, None]
    by_lens = np.stack([offset, (focal * r2)[:, None] * flat, (focal * r2**2)[:, None] * flat], axis=2)
    return offset, by_point, by_lens
