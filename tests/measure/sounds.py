"""Voltages of sensors for the tests: flux as a sum of bumps, its change in time as the voltage.

Nothing of the program is used. Teeth pass a sensor in the order of falling wheel angle.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np


def crank_angles(seconds: float, rate: float, rpm: float, swing: float, order: float, phase: float) -> np.ndarray:
    """Crank angle (radians) at every sample: speed = mean·(1 + swing·cos(order·angle + phase))."""
    fine = np.linspace(0, 2 * np.pi * 2, 20001)  # a cycle
    slowness = 1 / (1 + swing * np.cos(order * fine + phase))
    way = np.concatenate([[0], np.cumsum((slowness[1:] + slowness[:-1]) / 2)]) * (fine[1] - fine[0])
    mean = way[-1] / fine[-1]
    t = np.arange(int(seconds * rate)) / rate * rpm * 2 * np.pi / 60 * mean
    turns, rest = np.divmod(t, way[-1])
    return turns * 4 * np.pi + np.interp(rest, way, fine)


def reluctance(
    angle: np.ndarray, teeth_deg: np.ndarray, width_deg: float, levels: np.ndarray | None = None
) -> np.ndarray:
    """Voltage of a reluctance sensor at angle 0 of the engine while the crank stands at `angle` (radians)."""
    passing = np.degrees(angle) % 360.0  # a tooth at p passes when the crank has turned 360 - p
    grid = np.linspace(0, 360, 36001)
    flux = np.zeros(len(grid))
    for k, tooth in enumerate(teeth_deg):
        off = (grid + tooth + 180.0) % 360.0 - 180.0
        flux += (1.0 if levels is None else levels[k]) * np.exp(-((off / width_deg) ** 2))
    slope = np.gradient(flux, grid)
    return np.interp(passing, grid, slope) * np.gradient(angle)


def write_wav(path: Path, rate: int, voltage: np.ndarray, noise: float, rng: np.random.Generator) -> Path:
    """16 bit, noise as a share of the peak."""
    from scipy.io import wavfile

    v = voltage / np.abs(voltage).max()
    v = 0.7 * (v + noise * rng.standard_normal(len(v)))
    wavfile.write(path, rate, np.round(np.clip(v, -1, 1) * 32767).astype(np.int16))
    return path
