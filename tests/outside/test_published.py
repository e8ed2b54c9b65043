"""Each published value against ours, and how many there are of how many works."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.outside.published import counts, values
from tests.outside.register import BY_ID

VALUES = values()
HERE = Path(__file__).parent
LEAST_VALUES, LEAST_WORKS = 160, 30


@pytest.mark.parametrize("source", sorted({value.source for value in VALUES}))
def test_ours_is_what_is_published(source: str) -> None:
    assert source in BY_ID
    bad = [
        f"{value.what}: {value.ours()} for {value.published} ± {value.within:g}"
        for value in VALUES
        if value.source == source and value.ours is not None and abs(value.ours() - value.published) > value.within
    ]
    assert bad == []


@pytest.mark.parametrize("there", sorted({value.there for value in VALUES if value.there}))
def test_what_a_longer_test_holds_it_holds_still(there: str) -> None:
    file, function = there.split("::")
    tree = ast.parse((HERE / file).read_text(encoding="utf-8"))
    made = next(node for node in tree.body if isinstance(node, ast.FunctionDef) and node.name == function)
    numbers = {
        part.value for part in ast.walk(made) if isinstance(part, ast.Constant) and not isinstance(part.value, str)
    }
    assert {value.published for value in VALUES if value.there == there} <= numbers


def test_no_value_is_counted_twice() -> None:
    assert len({(value.source, value.what) for value in VALUES}) == len(VALUES)


def test_how_many_values_of_how_many_works_echoes_not_counted() -> None:
    proof = [value for value in VALUES if counts(value)]
    works = {value.source for value in proof}
    assert len(proof) >= LEAST_VALUES
    assert len(works) >= LEAST_WORKS
    assert all(BY_ID[name].title and BY_ID[name].by for name in works)
    most = max(works, key=lambda name: sum(value.source == name for value in proof))
    without = [value for value in proof if value.source not in (most, "drill-gauge", "iso-965", "iso-286")]
    assert len(without) >= LEAST_VALUES  # the longest tables alone do not make up the number
