"""The JSON Schema: valid itself, true of every good job, and not true of wrong ones."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from tests.conftest import DEMOS, demo_text, edited
from tests.job.jobs import SMALL, faults_in
from wheelcad.job import describe
from wheelcad.job.reader import parse_job
from wheelcad.job.schema import DIALECT, job_schema, written_default
from wheelcad.job.starter import starter_text

SCHEMA = job_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def _complaints(text: str) -> list[str]:
    """What an editor would underline: the file as YAML 1.2 has it, against the schema."""
    return [
        f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(YAML(typ="safe", pure=True).load(text))
    ]


def test_the_schema_is_one_itself() -> None:
    assert SCHEMA["$schema"] == DIALECT == jsonschema.Draft202012Validator.META_SCHEMA["$id"]
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA


@pytest.mark.parametrize("name", DEMOS)
def test_the_demo_jobs_pass(name: str) -> None:
    assert _complaints(demo_text(name)) == []


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("form", ["turned-down", "plate"])
def test_the_starters_pass(units: str, form: str) -> None:
    assert _complaints(starter_text(diameter="160 mm", units=units, form=form)) == []


WRONG = [
    ("job: small", "job: ../x"),
    ("job: small", "job: a b"),
    ("job: small\n", ""),
    ("job: small", "job: small\nunits: cm"),
    ("job: small", "job: small\nmoter: {}"),
    ("job: small", "job: small\nengine: {turns: cw}"),
    ("job: small", "job: small\nengine: {cylinders: 0}"),
    ("job: small", "job: small\nengine: {firing_order: 1-3-4-2}"),
    ("job: small", "job: small\nengine: {firing_order: []}"),
    ("job: small", "job: small\nengine: {max_speed: fast}"),
    ("job: small", "job: small\nengine: ~"),
    ("job: small", "job: small\npulley: {rubber_ring: maybe}"),
    ("job: small", "job: small\npulley: {turned: [weel]}"),
    ("job: small", "job: small\nsensor: {kind: hall}"),
    ("job: small", "job: small\nsensor: {kind: hall, at: 0, thread: 1/2 UNF}"),
    ("job: small", "job: small\nsensor: {kind: hall, at: 0, air_gap_range: [1]}"),
    ("job: small", "job: small\nsensor: {kind: hall, at: 0, mass: 60 mm}"),
    ("job: small", "job: small\nshop: {rotary_table: {ratio: 40, dial_step: 3/16 in}}"),
    ("teeth: 36", "teeth: 2"),
    ("teeth: 36", "teeth: 36.5"),
    ("teeth: 36", "teeth: '36'"),
    ("teeth: 36", "teeth: 1000000000"),
    ("  missing: 1\n", ""),
    ("thickness: 3", "thickness: -3"),
    ("thickness: 3", "thickness: 3 deg"),
    ("thickness: 3", "thickness: three"),
    ("thickness: 3", "thickness: [3]"),
    ("thickness: 3", "thick: 3"),
    ("depth: 6}", "deep: 6}"),
    ("slot: {width: 6, depth: 6}", "slot: 6"),
]


@pytest.mark.parametrize(("old", "new"), WRONG)
def test_wrong_jobs_fail_the_schema_as_they_fail_the_reader(old: str, new: str) -> None:
    text = edited(SMALL, (old, new))
    assert _complaints(text)
    assert faults_in(text)


@pytest.mark.parametrize("thickness", ["3", "1/8 in", "1 1/2 in", '3/16"', "10 thou", "3 MM", "½ in", "3.2e0"])
def test_values_as_the_shop_writes_them_pass(thickness: str) -> None:
    text = edited(SMALL, ("thickness: 3", f"thickness: {thickness}"))
    assert _complaints(text) == []
    assert parse_job(text).wheel.thickness > 0


@pytest.mark.parametrize("name", ["2026", "'010'", "small-2"])
def test_names_of_digits_pass(name: str) -> None:
    assert _complaints(edited(SMALL, ("job: small", f"job: {name}"))) == []


def _properties() -> list[Any]:
    found = []
    for path, section in describe.sections():
        owner = SCHEMA if not path else SCHEMA["$defs"][section.__name__]
        for name, field in describe.keys_of(section).items():
            found.append(pytest.param(owner["properties"][name], field, id=".".join((*path, name))))
    return found


@pytest.mark.parametrize(("told", "field"), _properties())
def test_every_key_is_told_with_its_unit_its_default_and_an_example(told: dict[str, Any], field: Any) -> None:
    assert told["description"].endswith(".")
    validator = jsonschema.Draft202012Validator({**told, "$defs": SCHEMA["$defs"]})
    for example in field.examples or []:
        assert list(validator.iter_errors(example)) == []
    assert told.get("examples") == field.examples
    if "default" in told:
        assert list(validator.iter_errors(told["default"])) == []
        assert told["default"] == written_default(field.default, describe.kind_of(field))


def test_a_length_s_description_says_which_unit_a_bare_number_has() -> None:
    told = SCHEMA["$defs"]["Wheel"]["properties"]["outside_diameter"]["description"]
    assert "the job's `units`" in told
    told = SCHEMA["$defs"]["Engine"]["properties"]["max_speed"]["description"]
    assert "A bare number in rpm" in told
