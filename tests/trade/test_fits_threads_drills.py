import pytest

from wheelcad.trade import drills, fits, threads


def test_every_fit_clears():
    for size in (5, 12, 25, 40, 69.95, 100, 150, 240):
        for shaft in ("h6", "g6", "f7"):
            (bore_low, bore_high), (shaft_low, shaft_high) = fits.limits_mm(size, "H7"), fits.limits_mm(size, shaft)
            assert 0 <= round(bore_low - shaft_high, 6) < round(bore_high - shaft_low, 6)


def test_fit_refusals():
    for call, words in (
        (lambda: fits.limits_mm(70, "p6"), "H7, h6, g6, f7"),
        (lambda: fits.limits_mm(3, "H7"), "250"),
        (lambda: fits.limits_mm(251, "H7"), "250"),
        (lambda: fits.iso2768_m(0.4), "0.5 to 2000"),
        (lambda: fits.iso2768_m(2001), "0.5 to 2000"),
        (lambda: fits.clearance_hole_mm(7), "M6, M8"),
        (lambda: fits.clearance_hole_mm(8, "loose"), "fine, medium or coarse"),
    ):
        with pytest.raises(ValueError, match=words):
            call()


def test_bolt_for_hole():
    assert fits.bolt_for_hole(8.4) == 8
    assert fits.bolt_for_hole(8.39) == 6
    assert fits.bolt_for_hole(10.5) == 10
    assert fits.bolt_for_hole(2) is None


def test_names_round_trip():
    for name in ("M8", "M10x1", "M12x1", "M12x1.25"):
        assert threads.thread(name).name == name
    assert threads.thread("M8x1.25").name == "M8"


@pytest.mark.parametrize("bad", ["8", "M", "M8x", "m8", "M12.5", "M12x7", "M12x0", "M8x1.25x2"])
def test_what_is_no_thread(bad):
    with pytest.raises(ValueError, match=r"thread|pitch"):
        threads.thread(bad)


# fine pitches in common use: ISO 262, from memory; M12x1 to M30x1 are those of barrel sensors
FINE_PITCHES_MM = {
    6: (0.75,),
    8: (1.0, 0.75),
    10: (1.25, 1.0, 0.75),
    12: (1.5, 1.25, 1.0),
    14: (1.5, 1.25, 1.0),
    16: (1.5, 1.0),
    18: (2.0, 1.5, 1.0),
    20: (2.0, 1.5, 1.0),
    22: (2.0, 1.5, 1.0),
    24: (2.0, 1.5, 1.0),
    30: (2.0, 1.5, 1.0),
}
ALL = [threads.Thread(d, p) for d, p in threads.COARSE_PITCH_MM.items()] + [
    threads.Thread(d, p) for d, pitches in FINE_PITCHES_MM.items() for p in pitches
]


@pytest.mark.parametrize("of", ALL, ids=lambda of: of.name)
def test_every_thread_is_in_order(of):
    at = threads.limits(of)
    assert of.root_diameter_mm < of.minor_diameter_mm < at.d1_nut_max < of.pitch_diameter_mm
    assert at.d2_min < of.pitch_diameter_mm < at.d2_nut_max < at.d_min < of.diameter_mm
    assert 0.25 < threads.engagement_mm(of) / of.diameter_mm < 1.1


def test_weaker_block_wants_more_thread():
    m8 = threads.thread("M8")
    strong, iron, aluminium = (threads.engagement_mm(m8, 800, nut) for nut in (800, 250, 200))
    assert strong < iron < aluminium
    assert threads.engagement_mm(m8, 800, 5000) == strong
    with pytest.raises(ValueError, match="strengths"):
        threads.engagement_mm(m8, 0)
    with pytest.raises(ValueError, match="tolerances"):
        threads.engagement_mm(threads.Thread(8, 0.5))


def test_clamping():
    m10 = threads.thread("M10")
    force = threads.clamp_force_n(m10)
    assert force == pytest.approx(0.75 * 580 * 57.99, rel=1e-3)
    assert threads.tightening_torque_nm(m10, force) == pytest.approx(0.2 * force * 0.01)
    assert threads.slip_acceleration_m_s2(2, force, 0.5) == pytest.approx(2 * 0.15 * force / 0.5)
    with pytest.raises(ValueError, match="mass"):
        threads.slip_acceleration_m_s2(2, force, 0)


@pytest.mark.parametrize("name", drills.SETS)
def test_sets_rise(name):
    sizes = [drill.diameter_mm for drill in drills.drills(name)]
    assert sizes == sorted(sizes)
    assert len({drill.name for drill in drills.drills(name)}) == len(sizes)


def test_counts_of_the_sets():
    assert len(drills.fraction_drills()) == 32
    assert len(drills.number_drills()) == 60
    assert len(drills.letter_drills()) == 26
    assert len(drills.metric_drills()) == 91 + 6


def test_which_drills_the_plain_sets_have():
    # common practice, no source: sets by half millimetres and by 64ths of an inch
    assert all(drills.in_plain_set(size) for size in (8.0, 7.5, 13.0, 25.4 * 11 / 32, 25.4 / 64))
    assert not any(drills.in_plain_set(size) for size in (7.7, 8.1, 25.4 * 0.348, 25.4 * 0.228))
