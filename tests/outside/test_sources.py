"""What findings cite is registered; what the register says is proved is proved by a test that is there."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tests.conftest import DEMOS, ROOT, demo_text
from tests.outside.register import BY_ID, accounted_for
from tests.unit_jobs import INCH_SIX
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import design_job
from wheelcad.trade.sources import SOURCES, cited_in, marked

MOST_FROM_MEMORY = 7  # may only shrink: a work that was looked up leaves this count
OUTSIDE = Path(__file__).parent
STANDARD = re.compile(r"\b(?:ISO|DIN|EN|ASTM|FED-STD|NAFEMS)[ -]?[A-Z]?\d[\d-]*")


def _sources_in_code() -> set[str]:
    """The last word of every finding that is written out in the code."""
    place = {"at_most": 6, "at_least": 6, "Finding": 7, "holds": 5, "About": 1}
    found = set()
    for path in (ROOT / "wheelcad").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {
            node.targets[0].id: node.value
            for node in tree.body
            if isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name)
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in place:
                at = place[node.func.id]
                value = node.args[at] if len(node.args) > at else None
                value = names.get(value.id, value) if isinstance(value, ast.Name) else value
                if isinstance(value, ast.Constant) and isinstance(value.value, str):
                    found.add(value.value)
    return found


def test_every_source_written_in_the_code_is_registered_or_our_own() -> None:
    found = _sources_in_code()
    assert len(found) > 20
    assert sorted(text for text in found if not accounted_for(text)) == []


@pytest.mark.parametrize("name", [*DEMOS, "moss-six"])
def test_every_finding_of_a_design_names_a_registered_source_or_says_it_has_none(name: str) -> None:
    design = design_job(parse_job(INCH_SIX if name == "moss-six" else demo_text(name)))
    assert len(design.findings) > 15
    assert sorted({f.source for f in design.findings if not accounted_for(f.source)}) == []
    for finding in design.findings:  # a standard that is named is one of the register
        for standard in STANDARD.findall(finding.source):
            assert any(standard.startswith(word) or word in finding.source for s in SOURCES for word in s.cited), (
                standard
            )


def test_the_register_is_whole() -> None:
    assert len(BY_ID) == len(SOURCES) >= 30
    for source in SOURCES:
        assert source.by
        assert source.title
        assert source.place
        assert cited_in(f"as {source.cited[0]} says") == (source,), source.id
    assert sum(source.seen == "memory" for source in SOURCES) <= MOST_FROM_MEMORY


def test_what_is_said_to_prove_a_source_is_a_test_that_is_there() -> None:
    proofs = [(source.id, proof) for source in SOURCES for proof in source.proved_by]
    assert len(proofs) >= 30
    for name, proof in proofs:
        file, function = proof.split("::")
        assert f"def {function}(" in (OUTSIDE / file).read_text(encoding="utf-8"), (name, proof)


def test_pages_print_the_name_a_work_has_here() -> None:
    assert marked("ISO 21940-11") == "ISO 21940-11 [iso-21940-11]"
    assert marked("ISO 286-2 H7; ISO 273, Table 1").endswith("[iso-273, iso-286]")
    assert marked("our judgement") == "our judgement"


def test_an_unregistered_work_is_noticed() -> None:
    assert not accounted_for("ISO 99999, Table 7")
    assert not accounted_for("some handbook")
