"""The Campbell plot's picture."""

from __future__ import annotations

import io
import re
import subprocess
import sys

import numpy as np
import pytest

from wheelcad.checks.fem.campbell import Campbell, campbell
from wheelcad.job.models import Engine
from wheelcad.packet.campbell_picture import ALARM, campbell_plot, spread

SCRIPT = """
import hashlib
from tests.packet.test_campbell_picture import six
from wheelcad.packet.campbell_picture import campbell_plot
print(hashlib.sha256(campbell_plot(six(), "Bracket", "png") + campbell_plot(six(), "Bracket", "svg")).hexdigest())
"""


def six(hz: float = 280.0) -> Campbell:
    plot = campbell([hz, 677.0, 2006.0], Engine(cylinders=6, max_speed=5200))
    assert plot is not None
    return plot


def alarms(png: bytes) -> int:
    """Pixels of the colour that marks crossings."""
    from matplotlib.image import imread

    pixels = np.round(np.asarray(imread(io.BytesIO(png)))[..., :3] * 255).astype(int)
    wanted = [int(ALARM[i : i + 2], 16) for i in (1, 3, 5)]
    return int((pixels == wanted).all(axis=-1).sum())


def test_the_same_bytes_from_another_process() -> None:
    run = [subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True) for _ in range(2)]
    assert run[0].stdout == run[1].stdout != ""


def test_no_dates_and_no_program_names() -> None:
    assert b"matplotlib" not in campbell_plot(six(), "Bracket", "png").lower()
    svg = campbell_plot(six(), "Bracket", "svg").decode()
    assert not re.search(r"dc:date|20\d\d-", svg)


def test_crossings_are_marked() -> None:
    stiff = campbell([900.0], Engine(cylinders=6, max_speed=5200))
    assert stiff is not None
    assert alarms(campbell_plot(stiff, "Bracket", "png")) == 0
    assert alarms(campbell_plot(six(), "Bracket", "png")) > 300


def test_the_softer_clamping_is_drawn_and_told() -> None:
    band = campbell([465.0, 900.0], Engine(cylinders=6, max_speed=5200), 431.0)
    plain = campbell([465.0, 900.0], Engine(cylinders=6, max_speed=5200))
    assert band is not None
    assert plain is not None
    assert campbell_plot(band, "Bracket", "svg").count(b"<path") > campbell_plot(plain, "Bracket", "svg").count(
        b"<path"
    )


def test_labels_are_moved_apart() -> None:
    assert spread([10.0, 11.0, 30.0], 5.0) == [10.0, 15.0, 30.0]
    assert spread([], 5.0) == []


@pytest.mark.parametrize("cylinders", [1, 2, 12])
def test_every_engine_can_be_drawn(cylinders: int) -> None:
    plot = campbell([60.0, 61.0, 5000.0], Engine(cylinders=cylinders, max_speed=9000))
    assert plot is not None
    assert len(campbell_plot(plot, "Bracket", "png")) > 10_000
