import pytest

from wheelcad.job.reader import parse_job
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.trade import wheel_findings
from wheelcad.trade.materials import MATERIALS, grey_iron_tensile_mpa, material


def test_every_material_is_physical():
    assert set(MATERIALS) == {"grey-iron", "ductile-iron", "mild-steel", "stainless-430", "aluminium-6061"}
    for name, entry in MATERIALS.items():
        assert entry.name == name
        assert 2000 < entry.density_kg_m3 < 9000
        assert 0 < entry.poisson < 0.5
        assert entry.yield_mpa is None or entry.yield_mpa < entry.tensile_mpa
        assert entry.source


@pytest.mark.parametrize("name", MATERIALS)
def test_what_a_sensor_sees(name):
    """Iron is ferromagnetic, cast, as mild steel and as ferritic stainless; aluminium is not."""
    sees = not MATERIALS[name].title.startswith("Aluminium")
    job = parse_job(
        f"job: m\nwheel: {{form: plate, teeth: 36, missing: 1, outside_diameter: 160, thickness: 4, bore: 40, "
        f"slot: {{width: 6, depth: 6.35}}, material: {name}}}\n"
        "sensor: {at: 60, kind: hall, looks: in, air_gap: 0.8}\n"
    )
    found = {finding.check: finding.verdict for finding in wheel_findings(job, design_wheel(job))}
    assert found["magnetic"] == ("pass" if sees else "warn")


def test_unknown_material_names_the_known():
    with pytest.raises(KeyError, match="grey-iron"):
        material("cheese")


def test_grams_of_a_litre():
    assert material("mild-steel").density_g_mm3 * 1e6 == pytest.approx(7850)


def test_strength_that_decides():
    assert material("grey-iron").strength_mpa == 250
    assert material("mild-steel").strength_mpa == 235


def test_thick_iron_is_weaker():
    values = [grey_iron_tensile_mpa(wall) for wall in (3, 10, 15, 20, 60, 200)]
    assert values == sorted(values, reverse=True)
    with pytest.raises(ValueError, match="wall"):
        grey_iron_tensile_mpa(0)
