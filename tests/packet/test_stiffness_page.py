"""The page on how stiff the bracket is: the map of first frequency against the sensor's place."""

from __future__ import annotations

from wheelcad.checks.fem.model import BracketProposals, Held, ShakeAnswer
from wheelcad.packet.page import PacketPage
from wheelcad.packet.shop_work import elsewhere
from wheelcad.words import Words

SHAKE = ShakeAnswer("up", (0.0, 0.0, 1.0), 0.01, (0.0, 0.0, 0.0), 2.0)


def told(found: BracketProposals) -> list[dict[str, object]]:
    return Words("in").through({"blocks": elsewhere(PacketPage("stiff"), found.report()).blocks})["blocks"]


def test_every_place_of_the_map_is_on_the_page() -> None:
    found = BracketProposals(base=(Held("", (100.0,), (SHAKE,)),), map=((40.0, 98.4), (55.0, 143.2)), wanted=1.5)
    words, grid = told(found)[1:]
    assert str(words["text"]).endswith("About 150 Hz is wanted.")
    assert grid["rows"] == [["40°", "98 Hz"], ["55°", "143 Hz"]]


def test_no_map_where_a_change_is_enough() -> None:
    assert told(BracketProposals(base=(Held("", (100.0,), (SHAKE,)),), wanted=1.5)) == []


def test_nothing_is_wanted_by_number_where_no_stiffness_would_do() -> None:
    found = BracketProposals(base=(Held("", (100.0,), (SHAKE,)),), map=((40.0, 98.4),), wanted=float("inf"))
    assert "wanted" not in str(told(found)[1]["text"])
