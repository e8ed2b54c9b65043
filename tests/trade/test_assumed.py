"""What is assumed where a job does not say: a key there is, of its kind, within what may be written, with a source."""

from __future__ import annotations

import pytest

from wheelcad.job import describe
from wheelcad.job.kinds import Quantity
from wheelcad.trade.assumed import ASSUMED, assumed_dip, assumed_ratio


@pytest.mark.parametrize("key", ASSUMED)
def test_it_is_a_key_that_may_be_left_out_and_could_be_written_so(key: str) -> None:
    field = describe.field_at(tuple(key.split(".")))
    assert field is not None
    assert field.default is None
    taken, kind = ASSUMED[key], describe.kind_of(field)
    assert taken.source
    if isinstance(kind, Quantity):
        assert kind.kind == taken.kind
        assert isinstance(taken.value, float)
        assert kind.low <= taken.value <= kind.high
    else:
        assert taken.kind == ""
        words = describe.words_of(field)
        assert taken.value in words if words else isinstance(taken.value, float)


def test_few_cylinders_slow_the_starter_further() -> None:
    assert [assumed_dip(n) for n in (1, 2, 4, 5, 6, 8)] == [0.5, 0.5, 0.5, 0.55, 0.55, 0.55]


@pytest.mark.parametrize(("missing", "ratio"), [(1, 1.5), (2, 2.0), (3, 2.5)])
def test_the_ratio_lies_midway(missing: int, ratio: float) -> None:
    assert assumed_ratio(missing) == ratio
    assert ratio - 1 == (missing + 1) - ratio


def test_no_gap_has_no_ratio() -> None:
    with pytest.raises(ValueError, match="no gap"):
        assumed_ratio(0)
