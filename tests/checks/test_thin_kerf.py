"""A kerf of less than a millimetre is allowed for as well, and the file that allows for it looked at."""

from __future__ import annotations

import pytest

from tests.checks.forms import form
from tests.checks.seeded.twins import edited_design
from wheelcad.checks.bracket import check_bracket
from wheelcad.checks.cut_shapes import check_bracket_flats
from wheelcad.errors import JobFileError


@pytest.mark.slow
@pytest.mark.parametrize("check", [check_bracket, check_bracket_flats], ids=lambda check: check.__name__)
def test_a_thin_kerf_s_own_file_is_asked_for(check) -> None:  # type: ignore[no-untyped-def]
    bracket = edited_design("cam", "kerf: 0.055", "kerf: 0.03").bracket
    assert bracket is not None
    assert bracket.compensate_kerf == pytest.approx(0.762)
    with pytest.raises(JobFileError, match=r"kerf-0\.762"):
        list(check(form("cam").folder, bracket))
