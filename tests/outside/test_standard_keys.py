"""Keys of the demos against the standards of keys: DIN 6885-1 (a tool maker's catalogue), ANSI B17.1 (a reprint of its
table of shafts and keys)."""

from __future__ import annotations

import pytest

from tests.conftest import DEMOS, demo_text
from tests.outside.tables import ANSI_B17_1, DIN_6885
from wheelcad.job.reader import parse_job


@pytest.mark.parametrize("name", DEMOS)
def test_keys_of_the_demos(name: str) -> None:
    """A hub that a shaft of the standard's fits: the key's width, and what of its height lies in the hub."""
    job = parse_job(demo_text(name))
    assert job.pulley is not None
    assert job.pulley.bore is not None
    assert job.pulley.keyway is not None
    found = (job.pulley.keyway.width, job.pulley.keyway.depth)
    if job.units == "mm":
        width, _, hub = DIN_6885[round(job.pulley.bore)]
        assert found == (width, hub)
    else:
        inches = round(job.pulley.bore / 25.4, 6)
        side = next(key for over, up_to, key in ANSI_B17_1 if over < inches <= up_to)
        assert found == pytest.approx((25.4 * side, 25.4 * side / 2))


def test_the_table_is_as_the_standard_builds_it() -> None:
    """Hub and shaft hold the key between them: t1 + t2 is its height and 0.2 to 0.3 mm of room above it."""
    shaft_depth = {2: 1.2, 3: 1.8, 4: 2.5, 5: 3.0, 6: 3.5, 8: 4.0, 10: 5.0, 12: 5.0}  # the same catalogue's t4
    for bore, (width, height, hub) in DIN_6885.items():
        assert 0.19 < shaft_depth[width] + hub - height < 0.31, bore
