"""The form holds every key of the job file, in the measuring sheet's order."""

from __future__ import annotations

import shutil
from pathlib import Path

from wheelcad.job.describe import every_key
from wheelcad.job.edit import data_of, put_text, with_entry
from wheelcad.job.invented import dotted
from wheelcad.job.measuring import MEASURES, plain
from wheelcad.job.reader import source_of
from wheelcad.job.starter import starter_text
from wheelcad.page.brought import starter_section
from wheelcad.page.form import Row, rows_of, section_names
from wheelcad.page.session import Session, State
from wheelcad.page.verdict import dotted_all

CONFIGS = Path(__file__).parents[2] / "configs"


def state_of(text: str) -> State:
    return State(text=text, source=source_of(text, "job"), data=data_of(text))


def all_rows(state: State) -> list[Row]:
    return [row for name in section_names() for row in rows_of(name, state)]


def test_every_key_is_reached_by_pressing_add_alone() -> None:
    text = starter_text()
    seen: set[str] = set()
    for _ in range(6):
        state = state_of(text)
        rows = all_rows(state)
        seen |= {plain(dotted(row.key)) for row in rows}
        for row in rows:
            if row.kind == "absent":
                text = put_text(text, row.key, row.put or starter_section(None, "mm", str(row.key[0])))
            elif plain(row.dotted) in ("bracket.mount_face", "bracket.obstacles.z") and row.kind == "value":
                text = put_text(text, row.key, "{behind_front: 38}")
    assert set(every_key()) - seen == set()


def test_a_job_that_says_everything_has_each_value_in_a_field_of_its_own() -> None:
    text = (CONFIGS / "tarn-six.yaml").read_text()
    values = {row.dotted: row.text for row in all_rows(state_of(text)) if row.kind == "value" and row.text is not None}
    source = source_of(text, "job")
    missing = [key for key in source.values if not {dotted(key), dotted_all(key)} & set(values)]
    assert [key for key in missing if "plates" not in key] == []
    assert values["wheel.slot.width"] == "6"
    assert values["bracket.plate.thickness"] == "3/16 in"


def test_fields_stand_in_the_measuring_sheets_order() -> None:
    rows = all_rows(state_of(starter_text()))
    order = [plain(measure.key) for measure in MEASURES]
    for name in section_names():
        asked = [order.index(plain(row.dotted)) for row in rows if row.letter and row.key[0] == name and row.depth < 1]
        assert asked == sorted(asked)


def test_a_key_nobody_knows_can_be_seen_and_taken_out() -> None:
    text = put_text((CONFIGS / "tarn-six.yaml").read_text(), ("pulley", "boar"), "20")
    row = next(row for row in all_rows(state_of(text)) if row.kind == "unknown")
    assert (row.dotted, row.text) == ("pulley.boar", "20")


def test_one_more_entry_and_an_added_section_make_a_job_again(tmp_path: Path) -> None:
    path = Path(shutil.copy(CONFIGS / "tarn-six.yaml", tmp_path))
    session = Session(path)
    belts = next(row for row in rows_of("pulley", session.state) if row.dotted == "pulley.belts")
    state = session.append(belts.key, belts.entry).result()
    assert len(state.data["pulley"]["belts"]) == 2
    assert state.text == with_entry((CONFIGS / "tarn-six.yaml").read_text(), belts.key, belts.entry)
    for name in ("gauge",):
        session.remove((name,)).result()
        state = session.bring((name,), "").result()
        assert state.job is not None, [str(fault) for fault in state.faults]
