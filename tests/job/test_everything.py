"""Every key of the job file together: read, told by the schema, designed; and no key is left out of the tests' jobs."""

from __future__ import annotations

import jsonschema
import pytest
from ruamel.yaml import YAML

import wheelcad
from tests.conftest import DEMOS, demo_text
from tests.job import everything
from wheelcad.job import describe
from wheelcad.job.reader import parse_job
from wheelcad.job.schema import job_schema

WHOLE = [everything.TURNED, everything.PLATE]


def test_no_key_is_left_out() -> None:
    used: set[tuple[str, ...]] = set()
    for text in [*WHOLE, *map(demo_text, DEMOS)]:
        places = parse_job(text).source.places
        used |= {tuple(part for part in key if isinstance(part, str)) for key in places}
    known = {(*path, name) for path, section in describe.sections() for name in describe.keys_of(section)}
    # the same section in two places need be whole in one
    shared = {("cam", "bolts"), ("wheel", "as_found", "bolts"), ("pulley", "turned")}
    assert {key for key in known - used if key[:-1] not in shared} == set()


@pytest.mark.parametrize("text", WHOLE)
def test_a_job_of_every_key(text: str) -> None:
    design = wheelcad.design_job(parse_job(text))
    assert [finding for finding in design.findings if finding.verdict == "fail"] == []
    validator = jsonschema.Draft202012Validator(job_schema())
    assert [error.message for error in validator.iter_errors(YAML(typ="safe", pure=True).load(text))] == []
