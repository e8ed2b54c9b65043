"""The mounts' bolts: length, grade, thread in the block, one mount alone; and what a cutting shop is asked for."""

from __future__ import annotations

from typing import Any

import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made
from wheelcad.findings import Finding
from wheelcad.packet.plasma import bracket_asks
from wheelcad.parts.bracket.bolts import bolt_words, mount_bolts, slips_at_g
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.model import SHEET_EDGE, BracketDesign
from wheelcad.parts.design import design_job
from wheelcad.trade.heads import SCREW_LENGTHS_MM, socket_radius_mm, washer_thickness_mm
from wheelcad.words import Words, unwritten

M8 = [{"x": 150, "y": 60, "hole": 9, "thread": "M8"}, {"x": 150, "y": 110, "hole": 9, "thread": "M8"}]


def found(design: BracketDesign, check: str) -> list[Finding]:
    return [finding for finding in bracket_findings(design) if finding.check == check]


@pytest.mark.parametrize(
    ("block", "least_d"),
    [("grey-iron", 1.5), ("ductile-iron", 1.25), ("mild-steel", 1.0), ("aluminium-6061", 2.0)],
)
def test_bolts_reach_deep_enough_into_the_block(block: str, least_d: float) -> None:
    """At least the workshop's rule in bolt diameters (from memory), and a length that is sold (ISO 4017)."""
    design = made(in_job(bracket={"mounts": M8, "block": block}))
    for bolt in mount_bolts(design):
        assert bolt.length in SCREW_LENGTHS_MM
        assert bolt.need >= least_d * 8
        assert bolt.engaged == pytest.approx(
            (bolt.length or 0) - design.thickness - washer_thickness_mm(8, over_slot=True)
        )
        assert bolt.need <= bolt.engaged < bolt.need + 10
        assert not bolt.assumed
    [words, *_] = bolt_words(design)
    said = Words().text(words)
    assert "Mount 1 and 2: M8 × " in said
    assert "class 8.8" in said
    assert "assumed" not in said


def test_softer_blocks_want_deeper_threads() -> None:
    steel, iron = (
        mount_bolts(made(in_job(bracket={"mounts": M8, "block": block})))[0].need
        for block in ("mild-steel", "grey-iron")
    )
    assert iron > steel


def test_what_is_taken_for_granted_is_said() -> None:
    words = Words().text(bolt_words(made(in_job()))[0])
    assert "taken from the hole" in words
    assert "assumed" in words


def test_the_torque_is_the_preloads() -> None:
    """M8 8.8: stress area 36.6 mm², 0.75 × 580 MPa proof = 15.9 kN, times 0.2 × 8 mm = 25.5 N·m (Shigley)."""
    assert mount_bolts(made(in_job(bracket={"mounts": M8})))[0].torque_nm == pytest.approx(25.5, abs=0.1)


def test_one_mount_lets_it_swing() -> None:
    one = made(in_job(bracket={"mounts": M8[:1]}))
    assert [f.verdict for f in found(one, "one-mount")] == ["warn"]
    assert not found(made(in_job(bracket={"mounts": M8})), "one-mount")


def test_heavy_and_far_slips_and_light_does_not() -> None:
    tiny = [{**mount, "hole": 4.5, "thread": "M4"} for mount in M8]
    slips = made(in_job(bracket={"mounts": tiny}, sensor={"mass": 4.0}))
    assert found(slips, "mounts-hold")[0].verdict == "warn"
    assert found(made(in_job(bracket={"mounts": M8})), "mounts-hold")[0].verdict == "pass"


def test_a_socket_takes_the_heads_corners_and_its_wall() -> None:
    """M10: 16 across flats (ISO 4017), so 18.5 across corners, and the socket's wall."""
    assert socket_radius_mm(10) == pytest.approx(16 / 3**0.5 + 2.5)


def test_a_face_behind_the_pulleys_front_is_that_face() -> None:
    """behind_front: the depth gauge's reading and the z it stands for give the same bracket."""
    sections: dict[str, Any] = {
        "pulley": {"bore": 30, "as_found": [{"length": 30, "diameter": 90}], "belts": []},
        "sensor": {"nose_length": 40},
    }
    plain = design_job(in_job(**sections))
    front = 5 / 2 - 5  # the plate's front face less its thickness: the pulley's front lies at its back
    deep = design_job(in_job(**sections, bracket={"mount_face": {"behind_front": front + 32}}))
    assert plain.bracket is not None
    assert deep.bracket is not None
    assert deep.bracket.asked.bracket.mount_face == pytest.approx(-32)
    assert deep.bracket.report() == plain.bracket.report()


def test_the_plasma_page_counts_gussets_and_fits_them_on_its_plate() -> None:
    job = in_job(bracket={"bends": "hand", "gusset": True, "width": 50}, shop={"plasma": {"kerf": 1.4}})
    design = made(job)
    said = Words().text("\n".join(bracket_asks(design)))
    assert not unwritten(said)
    assert "1 bracket and 2 gussets" in said
    long, wide = design.stock_size
    for loop in (design.outline, *(gusset.nested for gusset in design.gussets)):
        x0, y0, x1, y1 = loop.moved(*design.sheet_place).bounds()
        assert min(x0, y0) >= SHEET_EDGE - 1e-9
        assert max(x1 - (long - SHEET_EDGE), y1 - (wide - SHEET_EDGE)) <= 1e-9
    sizes = "ISO 9013-442: sizes to class 2, ±"
    for words in ("layer SLIT: 2 open cuts, one pass each", "no offset", sizes, "drilled on the marks"):
        assert words in said
    assert "kerf-1.4" not in said


def test_with_two_files_page_and_drawing_say_which_is_for_whom() -> None:
    design = made(along_job(shop={"plasma": {"kerf": 1.4, "compensate": True}}))
    said = Words().text("\n".join(bracket_asks(design)))
    notes = Words().text("\n".join(design.notes))
    for text in (said, notes):
        assert "bracket-flat.dxf" in text
        assert "bracket-flat-kerf-1.4.dxf" in text
    assert "set none" in said
    assert "never both" in notes
    assert "SLIT" not in "\n".join(bracket_asks(made(flat_job())))


def test_the_shake_at_which_two_bolts_slip() -> None:
    """M8 8.8 clamps with 15.9 kN (see above); friction 0.15, over the load that the overhang makes of the weight."""
    design = made(in_job(bracket={"mounts": M8}))
    weight = (design.mass_kg + 0.06) * 9.80665
    x, y = design.asked.place.face[0] - 150, design.asked.place.face[1] - 85
    load = 1 + (x**2 + y**2) ** 0.5 / 25
    assert slips_at_g(design) == pytest.approx(2 * 15.9e3 * 0.15 / weight / load, rel=0.005)
    [held] = found(design, "mounts-hold")
    assert held.limit == 10
    assert [bolt.mount for bolt in mount_bolts(design)] == [1, 2]
    assert [(f.measured, f.limit) for f in found(design, "mount-hole-play")] == [(1, 2), (1, 2)]
    assert ["mount 1" in f.subject for f in found(design, "mount-hole-play")] == [True, False]
