"""A job whose mounts are left to its survey: the inline six, its holes at known places."""

from __future__ import annotations

from tests.conftest import demo_text, edited

MOUNTS = """  mounts:
    - {x: -132, y: 88, hole: 12, thread: M10}
    - {x: -132, y: 138, hole: 12, thread: M10}
  mount_face: -30
"""
# bolt-1 … bolt-4 lie at 45, 135, 225 and 315 degrees on a circle of 80: (±28.284, ±28.284)
READINGS = """[{from: centre, to: m1, is: 158.6}, {from: bolt-4, to: m1, is: 119.7},
    {from: bolt-3, to: m1, is: 155.9}, {from: bolt-1, to: m1, is: 171.1},
    {from: centre, to: m2, is: 191.0}, {from: bolt-4, to: m2, is: 151.0},
    {from: bolt-3, to: m2, is: 195.9}, {from: bolt-1, to: m2, is: 194.0}, {from: m1, to: m2, is: 50}]"""


def survey_job(readings: str = READINGS, extra: str = "", *changes: tuple[str, str]) -> str:
    """The job's text; extra: more keys of the section survey."""
    mounts = "  mounts:\n    - {hole: 12, thread: M10}  # the lower\n    - {name: m2, hole: 12}\n"
    text = edited(demo_text("tarn-six"), (MOUNTS, mounts + "  mount_face: {behind_front: 38}\n"), *changes)
    return text + f"\nsurvey:\n  read_to: 0.5\n  readings: {readings}\n{extra}"
