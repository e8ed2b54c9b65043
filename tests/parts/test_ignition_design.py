"""The ignition's numbers: cylinder 1 is zero, and what the controller times on follows from the element."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text, edited
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import design_job
from wheelcad.parts.ignition import IgnitionDesign

TWIN, SIX = demo_text("fell-twin"), demo_text("tarn-six")


def _ignition(text: str) -> IgnitionDesign:
    return design_job(parse_job(text)).ignition


@pytest.mark.parametrize(
    ("order", "angles", "fires"),
    [
        ("[1, 2]", "[0, 270]", (0, 270)),
        ("[2, 1]", "[0, 270]", (0, 450)),
        ("[2, 1]", "[90, 540]", (0, 270)),
        ("[1, 2]", "[300, 570]", (0, 270)),
    ],
)
def test_cylinder_one_fires_at_zero(order: str, angles: str, fires: tuple[float, float]) -> None:
    got = _ignition(edited(TWIN, ("firing_order: [1, 2]", f"firing_order: {order}"), ("[0, 270]", angles)))
    assert got.firing_order == (1, 2)
    assert got.firing_angles_deg == pytest.approx(fires)


def test_an_order_that_begins_elsewhere_is_the_same_engine() -> None:
    turned = _ignition(edited(SIX, ("[1, 5, 3, 6, 2, 4]", "[6, 2, 4, 1, 5, 3]")))
    assert turned == _ignition(SIX)


@pytest.mark.parametrize(
    ("written", "same_as", "why"),
    [
        ("element: hall-differential", "first_tooth_centre_to_tdc_deg", "a differential element switches"),
        ("element: hall-fixed", "first_edge_to_tdc_deg", "leading edge"),
        ("element: vane", "first_edge_to_tdc_deg", "leading edge"),
        ("element: hall-differential\n  times_on: trailing", "trailing_edge_to_tdc_deg", "trailing edge"),
    ],
)
def test_what_the_controller_times_on(written: str, same_as: str, why: str) -> None:
    got = _ignition(edited(SIX, ("  looks: in\n", f"  looks: in\n  {written}\n"))).told
    assert got.use_deg == getattr(got, same_as)
    assert why in got.use_why
