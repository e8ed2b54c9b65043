"""Likely slips of the unit and keys without an effect: asked about, never refused."""

from __future__ import annotations

import pytest

from tests.conftest import demo_text, edited
from wheelcad.job import describe
from wheelcad.job.kinds import Quantity
from wheelcad.job.models import Job
from wheelcad.job.plausibility import likely_slips
from wheelcad.job.reader import parse_job
from wheelcad.job.sizes import SIZES
from wheelcad.words import Words

SIX, TWIN, FOUR = (demo_text(name) for name in ("tarn-six", "fell-twin", "beck-four"))

# (job, what stands in it, what is put there, key asked about, in the question)
SLIPS = [
    (FOUR, "outside_diameter: 190", "outside_diameter: 9", "wheel.outside_diameter", "9 mm; a wheel's diameter"),
    (FOUR, "outside_diameter: 190", "outside_diameter: 9", "wheel.outside_diameter", "was 9 in or 9 cm meant?"),
    (FOUR, "plate: {thickness: 5", "plate: {thickness: 28", "bracket.plate.thickness", "was 2.8 mm meant?"),
    (FOUR, "  air_gap: 0.7\n  air_gap_range: [0.4, 1.0]", "  air_gap: 12", "sensor.air_gap", "was 12 thou or 1.2 mm"),
    (FOUR, "thickness: 5\n", "thickness: 0.2\n", "wheel.thickness", "was 0.2 in or 0.2 cm meant?"),
    (FOUR, "85 g", "1.5", "sensor.mass", "1.5 kg; a sensor's mass is usually 5 g to 1 kg"),
    (FOUR, "12 kHz", "120", "sensor.max_tooth_rate", "was 120 kHz meant?"),
    (
        FOUR,
        "6500 rpm",
        "650",
        "engine.max_speed",
        "usually 1000 rpm to 20000 rpm",
    ),
    (FOUR, "backlash: 0.1 deg", "backlash: 6", "shop.rotary_table.backlash", "was 6' meant?"),
    (FOUR, "{x: 160, y: 45,", "{x: 1600, y: 45,", "bracket.mounts[0].x", "was 1600 thou or 160 mm meant?"),
    (TWIN, "outside_diameter: 4 3/4", "outside_diameter: 20", "wheel.outside_diameter", "20 in; a wheel's diameter"),
    (TWIN, "air_gap: 0.040", "air_gap: 0.5", "sensor.air_gap", "was 0.5 mm or 0.05 in meant?"),
    (TWIN, "thickness: 1/8\n", "thickness: 2\n", "wheel.thickness", "was 2 mm or 0.2 in meant?"),
    (TWIN, "plate: {thickness: 3/16", "plate: {thickness: 1", "bracket.plate.thickness", "was 0.1 in meant?"),
    (
        FOUR,
        "spark: ",
        "dwell: 40\n  spark: ",
        "engine.dwell",
        "usually 0.5 ms to 15 ms",
    ),
]


@pytest.mark.parametrize(("job", "old", "new", "key", "asked"), SLIPS)
def test_likely_slips(job: str, old: str, new: str, key: str, asked: str) -> None:
    changed = parse_job(edited(job, (old, new)))
    found = {finding.subject: finding for finding in likely_slips(changed)}
    assert set(found) == {key}
    assert found[key].verdict == "warn"
    assert found[key].check == "likely-unit"
    assert asked in Words(changed.units).text(found[key].why)
    assert "(line " in found[key].why


def test_nothing_is_asked_of_the_demo_jobs(demo: Job) -> None:
    assert likely_slips(demo) == []


def test_a_value_nobody_wrote_is_not_asked_about() -> None:
    job = parse_job(edited(FOUR, ("  air_gap: 0.7\n  air_gap_range: [0.4, 1.0]\n", "")))
    assert likely_slips(job) == []


def test_every_range_is_of_a_key_there_is_and_of_its_kind() -> None:
    for key, size in SIZES.items():
        field = describe.field_at(tuple(key.split(".")))
        assert field is not None, key
        kind = describe.kind_of(field)
        assert isinstance(kind, Quantity), key
        assert kind.kind == size.kind, key
        assert kind.low <= size.low < size.high <= kind.high, key
        if size.why:  # what cannot be meant lies beyond what is usual, and within what is read
            assert kind.low <= size.least < size.low < size.high < size.most <= kind.high, key
    assert sum(bool(size.why) for size in SIZES.values()) > 40


UNUSED = [
    (SIX, "gauge:", "adapter: {length: 12, outside_diameter: 100}\ngauge:", "adapter", "turned down from its pulley"),
    (SIX, "form: turned-down", "form: plate", "pulley.turned", "cut from plate"),
    (SIX, "looks: in", "looks: in\n  from: back", "sensor.from", "looks along"),
    (SIX, "looks: in", "looks: in\n  radius: 70", "sensor.radius", "looks along"),
    (TWIN, "layout: vee\n", "layout: inline\n", "engine.vee_angle", "in no vee"),
    (SIX, "looks: in", "looks: in\n  element_spacing: 2", "sensor.element_spacing", "a hall-differential element"),
    (FOUR, "bends: brake", "bends: brake\n  hand_bend: {allowance: 11}", "bracket.hand_bend", "pressed"),
]


@pytest.mark.parametrize(("job", "old", "new", "key", "why"), UNUSED)
def test_keys_without_an_effect(job: str, old: str, new: str, key: str, why: str) -> None:
    (finding,) = likely_slips(parse_job(edited(job, (old, new))))
    assert (finding.check, finding.subject, finding.verdict) == ("unused-key", key, "warn")
    assert why in finding.why


def test_a_bracket_without_a_sensor() -> None:
    start, end = SIX.index("sensor:"), SIX.index("bracket:")
    (finding,) = likely_slips(parse_job(SIX[:start] + SIX[end:]))
    assert finding.subject == "bracket"
