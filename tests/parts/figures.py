"""Every figure and sentence that comes of a job, as a table that can be kept: to see that none changes unmeant.

    python -m tests.parts.figures          # writes figures.json anew; say in the commit why it changed
    python -m tests.parts.figures more     # with the jobs that it lacks, the others as they were

Nothing here is right because it stands here: what is right is held by tests/outside and by the tests of each part.
This one holds what they leave out still while something else is changed. Each job of `figure_jobs` is designed, drawn
and reported, or refused; all that comes of it is walked (`walked`), and a row is what one field of it came to.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from functools import cache
from itertools import islice
from pathlib import Path

import numpy as np

from tests.parts.figure_jobs import job_named, names
from tests.parts.walked import Row, Told, rows, walked
from wheelcad.errors import JobError
from wheelcad.job.models import Job
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.arbour.design import design_arbour
from wheelcad.parts.balance.blind import blind_pairs, single_blind, two_planes
from wheelcad.parts.balance.correction import hole_search
from wheelcad.parts.balance.initial import initial_unbalance
from wheelcad.parts.balance.metal import metal_of
from wheelcad.parts.balance.plan import search
from wheelcad.parts.balance.through import equal_pairs, several_pairs, unequal_pairs
from wheelcad.parts.blank.found import found_paths
from wheelcad.parts.bracket.blocks import held_blocks
from wheelcad.parts.bracket.bolts import bolt_words, mount_bolts, spacer_words, spacers_mm
from wheelcad.parts.bracket.cutting import cut_layers
from wheelcad.parts.bracket.design import unhindered_bracket
from wheelcad.parts.bracket.fitting import fitting_steps
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.obstacles import least_of
from wheelcad.parts.bracket.paper_sheet import bracket_pages
from wheelcad.parts.bracket.setting import astray
from wheelcad.parts.common.stack import as_found_lands, rotating_lands
from wheelcad.parts.design import Design, design_job
from wheelcad.parts.gauge.sheet import gauge_pages
from wheelcad.parts.hand.design import design_hand, has_paper
from wheelcad.parts.hand.sheet import dividing_pages
from wheelcad.parts.indexing.chart import chart_rows
from wheelcad.parts.indexing.program import rotary_program
from wheelcad.parts.indexing.text import chart_text
from wheelcad.parts.options.patterns import patterns_for
from wheelcad.parts.options.table import option_table
from wheelcad.parts.places import settled
from wheelcad.parts.sensor.design import sensor_body, sensor_place
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.flat import finished_flat, plasma_blank
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.report import ignition_report, parts_report

FILE = Path(__file__).with_name("figures.json")
SAME = 1e-7  # of the sum of sizes: machines round differently
DEEP = 2  # fields of a field are told apart, what lies below them is added up
OPTIONS = " options"  # behind a job's name: its patterns side by side in place of its design
SEARCH = " search"  # likewise: every hole that its balance was chosen from


def found(name: str) -> dict[str, tuple[Row, float]]:
    """The rows of a job by its name, each with the sum of sizes that its rounding is measured by."""
    return rows(_told(name), DEEP)


def _told(name: str) -> Told:
    try:
        job = job_named(name.removesuffix(OPTIONS).removesuffix(SEARCH))
        if name.endswith(OPTIONS):
            table = option_table(job, patterns_for(job), start=True)
            yield from walked(table, "options")
            yield from walked(table.rows(), "options rows")
            return
        if name.endswith(SEARCH):
            for path, value in _proposed(job):
                yield from walked(value, path)
            return
        design = design_job(job)
    except JobError as error:
        for fault in error.faults:
            said = fault.dotted, fault.message, fault.found, fault.allowed, fault.hint
            yield from walked(said, f"refused {fault.dotted}")
        return
    for path, value in _shown(design):
        yield from walked(value, path)


def _shown(design: Design) -> Iterator[tuple[str, object]]:
    """All that comes of a design, bit by bit."""
    job, wheel = settled(design.job), design.wheel
    for part in (*design.parts, "balance", "indexing", "ignition", "findings", "left_out"):
        yield part, getattr(design, part)
    yield "drawing", drawing_sheets(design)
    yield "report", [wheel.report(), design.balance.report(), ignition_report(design), parts_report(design)]
    yield "flat", finished_flat(job, wheel)
    if wheel.form == "plate":
        yield "plasma", plasma_blank(job, wheel)
    yield "arbour", design_arbour(job)
    yield "lands", [rotating_lands(job), as_found_lands(job) if job.pulley is not None else ()]
    hand = design_hand(job, wheel)
    yield "hand", hand
    if hand is not None:
        yield "hand report", hand.report()
        yield "hand paper", list(dividing_pages(job, wheel, hand)) if has_paper(job) else ()
    yield from _of_parts(design, job)


def _of_parts(design: Design, job: Job) -> Iterator[tuple[str, object]]:
    if design.blank is not None:
        yield "blank paths", found_paths(design.blank)
    if design.gauge is not None:
        yield "gauge paper", list(gauge_pages(job, design.wheel, design.gauge))
    if job.sensor is not None:
        place = sensor_place(job, job.sensor)
        yield "edges", designed_edges(design.wheel, job.sensor)
        yield "sensor", [place, sensor_body(job.sensor, place) if job.sensor.body_diameter else None]
    made = design.bracket
    if made is not None:
        yield "bracket paper", list(bracket_pages(made, job, ""))
        yield "bracket cut", [cut_layers(made), cut_layers(made, made.compensate_kerf)]
        yield "bracket fitting", fitting_steps(made)
        yield "bracket blocks", list(_blocks(made))
        yield "bracket bolts", [mount_bolts(made), bolt_words(made), spacers_mm(made), spacer_words(made)]
        yield "bracket room", [least_of(made), astray(made)]
        yield "bracket alone", unhindered_bracket(job)
    plan = design.indexing
    if plan is not None:
        yield "index report", plan.report()
        yield "chart", [list(chart_rows(plan)), chart_text(plan)]
        yield "program", rotary_program(plan) if job.shop.rotary_axis else ""


def _blocks(made: BracketDesign) -> Iterator[tuple[object, ...]]:
    """Each block by what its footprint encloses: how many corners lie along its sides is the last digit's choice."""
    for block in held_blocks(made):
        shape = block.polygon
        yield block.what, shape.area, shape.length, shape.bounds, block.z_low, block.z_high


def _proposed(job: Job) -> Iterator[tuple[str, object]]:
    """What a job's correction holes are chosen from, kind by kind, and which are taken."""
    wheel = design_wheel(job)
    metal = metal_of(job, wheel)
    assert job.balance is not None
    sought = hole_search(job, job.balance, wheel, metal, initial_unbalance(job, wheel, metal))
    for cells in sought.grids:
        yield "cells", [cells, cells.taken_through, cells.through_z(), cells.blind_z(cells.deepest)]
    for relaxed in (False, True):
        for proposed in (
            *(equal_pairs(sought, relaxed), unequal_pairs(sought, relaxed)),
            *(several_pairs(sought, pairs, relaxed) for pairs in (2, 3)),
            *(blind_pairs(sought, relaxed), single_blind(sought, relaxed)),
        ):
            for one in proposed:
                good = np.flatnonzero(one.good)
                yield f"proposed {one.kind}", [np.where(np.isfinite(one.figure), one.figure, 0.0), one.good]
                some = [one.wanted(int(i)) or [] for i in good[:: max(1, len(good) // 9)]]
                yield f"proposed {one.kind} holes", [(p.cell, p.off_deg, p.depth) for few in some for p in few]
    yield "two planes", list(islice(two_planes(sought), 3))
    yield "search", search(sought)


def changed(now: dict[str, tuple[Row, float]], then: dict[str, Row]) -> dict[str, tuple[Row | None, Row | None]]:
    """The rows that are not what they were, rounding apart, each as it is and as it was; None where there is none."""
    out: dict[str, tuple[Row | None, Row | None]] = {path: (None, then[path]) for path in then.keys() - now.keys()}
    for path, (row, size) in now.items():
        old = then.get(path)
        if old is None or row[0] != old[0] or abs(row[1] - old[1]) > SAME * max(size, 1e-3):
            out[path] = row, old
    return out


@cache
def kept() -> dict[str, dict[str, Row]]:
    """The rows of figures.json, by job and path. A job that is another with a change holds what differs from that."""
    held = json.loads(FILE.read_text(encoding="utf-8"))
    paths, out = held["paths"], {}
    for name, of in held["jobs"].items():
        own = {paths[which]: (many, total) for which, many, total in zip(of[::3], of[1::3], of[2::3], strict=True)}
        whole = {**out[held["like"][name]], **own} if name in held.get("like", {}) else own
        out[name] = {path: row for path, row in whole.items() if row[0]}
    return out


def write(anew: bool) -> str:
    """Writes figures.json, all of it anew or with the jobs that it lacks, and says how much of it there is."""
    old = {} if anew or not FILE.exists() else kept()
    everything = {name: old[name] if name in old else _bare(found(name)) for name in names()}
    paths = sorted({path for of in everything.values() for path in of})
    place = {path: n for n, path in enumerate(paths)}
    like = {name: name.split(" ")[0] for name in everything if _changes_another(name, everything)}
    lines = []
    for name, of in everything.items():
        base = everything[like[name]] if name in like else {}
        rows_of = dict.fromkeys(base.keys() - of.keys(), (0, 0.0))  # none: the change takes them away
        rows_of |= {path: row for path, row in of.items() if _written(row) != _written(base.get(path, (0, 0.0)))}
        numbers = [text for path, row in sorted(rows_of.items()) for text in (str(place[path]), *_written(row))]
        lines.append(f"{json.dumps(name)}: [{','.join(numbers)}]")
    head = f'"paths": {json.dumps(paths, indent=0)},\n"like": {json.dumps(like, indent=0)}'
    new = FILE.with_suffix(".new")
    new.write_text(f"{{{head},\n" + '"jobs": {\n' + ",\n".join(lines) + "\n}}\n", encoding="utf-8")
    new.replace(FILE)  # whole at any time: tests may be reading it
    return f"{sum(map(len, everything.values()))} rows of {len(everything)} jobs"


def _changes_another(name: str, everything: dict[str, dict[str, Row]]) -> bool:
    """Whether a job is another one here with a change, and comes to much the same: not where it is refused."""
    base = name.split(" ")[0]
    if base == name or base not in everything or name.endswith((OPTIONS, SEARCH)):
        return False
    return len(everything[name].keys() & everything[base].keys()) > len(everything[base]) / 2


def _written(row: Row) -> tuple[str, str]:
    return str(row[0]), f"{row[1]:.11g}"


def _bare(of: dict[str, tuple[Row, float]]) -> dict[str, Row]:
    return {path: row for path, (row, _) in of.items()}


if __name__ == "__main__":
    print(write(anew="more" not in sys.argv[1:]))
