"""What a build hands over, read back after it was written: packet, start page, zips, report. Only `check` can do it.

Each is held against the design worked out anew, and where it repeats other files, against those as they are now. The
packet's numbers that reach metal and controller are read out of its text and worked out again; its other words are held
against the pages of the design.
"""

from __future__ import annotations

import base64
import html
import json
import math
import re
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wheelcad.catalogue import MANIFEST, PACKET, REPORT, START, ZIPS, For, sorted_by_whom
from wheelcad.checks.bench import degrees_of
from wheelcad.checks.drawings import pdf_texts
from wheelcad.checks.printed import unsaid_lengths, wrong_numbers
from wheelcad.codes import Check
from wheelcad.errors import JobError, UnreadableError
from wheelcad.findings import OWN, Finding, holds
from wheelcad.packet.measuring_pictures import pictures
from wheelcad.packet.measuring_sheet import SHEET, sheet_data
from wheelcad.packet.page import PacketPage
from wheelcad.packet.start import ASSEMBLY, LARGEST_GLB
from wheelcad.packet.zips import ASK, WITH_SOLIDS, asked
from wheelcad.parts.design import Design
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.marks import marks_of
from wheelcad.words import Words

Known = Mapping[str, list[Finding]]
SAME = 1e-6  # relative, or absolute below 1: what report.json keeps against what is worked out again
# findings that only a check has, or that this module makes: the report cannot hold them
SINCE = frozenset({Check.FILE_UNCHANGED, Check.JOB_FILE, Check.STIFFNESS})
# of the finite elements nothing is worked out again here: `check --fem` solves them
SOLVED = frozenset({"stiffness", "first_frequency_hz", "first_frequency_method", "first_frequency_closed_form_hz",
                    "first_frequency_range_hz"})  # fmt: skip
ROW = re.compile(
    r"(?<!\S)(\d+) (\d+)( again)? (?:(\d\S*°) )?(\d+) (\d+\S*[°′″]) (?:(\d+) of (\d+) |- )?(\d+) \+ (\d+\S*[°′″])"
)


def check_delivered(
    folder: Path,
    design: Design,
    findings: Sequence[Finding],
    report: dict[str, Any],
    known: Known = MappingProxyType({}),
) -> list[Finding]:
    """Everything that can only be read back when all is written. findings, report: as measured just now; known: what
    `check_alone` found already."""
    alone = known or check_alone(folder, design)
    told = {
        REPORT: lambda: _report(folder, design, findings, report),
        PACKET: lambda: _packet(folder, design, findings, report),
    }
    order = (REPORT, START, *ZIPS.values(), PACKET, SHEET)
    found = dict(alone) | {name: _guarded(name, run) for name, run in told.items() if (folder / name).is_file()}
    return [finding for name in order for finding in found.get(name, ())]


def check_alone(folder: Path, design: Design) -> dict[str, list[Finding]]:
    """What is found, by file, in what needs none of the numbers measured."""
    checks: dict[str, Callable[[], list[Finding]]] = {
        START: lambda: _start(folder, design),
        SHEET: lambda: _sheet(folder, design),
    }
    checks |= {name: partial(_zip, folder, name, whom, design) for whom, name in ZIPS.items()}
    return {name: _guarded(name, run) for name, run in checks.items() if (folder / name).is_file()}


def _guarded(name: str, run: Callable[[], list[Finding]]) -> list[Finding]:
    try:
        return run()
    except (OSError, ValueError, KeyError, zipfile.BadZipFile, UnreadableError, JobError) as error:
        why = "a file that cannot be read cannot be trusted"
        return [holds(Check.READABLE, name, False, str(error), why, "reading it back")]
    except Exception as error:  # what cannot be worked out again, since other files are spoilt
        said = f"{type(error).__name__}: {error}"
        why = "this check went wrong, so nothing was compared: a file it needs may be spoilt, or the mistake is ours"
        return [holds(Check.CHECK_BROKE, name, False, said, why, "reading it back")]


def _told(wrong: Sequence[str], good: str) -> str:
    return "; ".join(wrong[:3]) or good


# --- report.json ----------------------------------------------------------------------------------------------------
def _report(folder: Path, design: Design, findings: Sequence[Finding], report: dict[str, Any]) -> list[Finding]:
    held = json.loads((folder / REPORT).read_text(encoding="utf-8"))
    again = json.loads(json.dumps(Words(design.job.units).through(report)))
    wrong = [
        said for key in sorted({*held, *again} - {"findings"}) for said in _differs(held.get(key), again.get(key), key)
    ]
    told = {(f["check"], f["subject"]): f for f in held["findings"]}
    words, known = Words(design.job.units), set()
    for finding in findings:
        name = (str(finding.check), finding.subject)
        known.add(name)
        if finding.check in SINCE or finding.source.find("quoted from the build") >= 0:
            continue
        if name not in told:
            wrong.append(f"{finding.subject}, {finding.check}: not there")
        else:
            wrong += _differs(told[name], json.loads(json.dumps(finding.as_json(words))), f"{finding.check}")
    wrong += [f"{subject}, {check}: unknown" for check, subject in told if (check, subject) not in known]
    why = "every number and finding, worked out and measured again"
    return [holds(Check.REPORT_SAME, REPORT, not wrong, _told(wrong, "the same"), why, OWN)]


def _differs(held: Any, again: Any, where: str) -> Iterator[str]:
    """Where two values differ, each place in a few words."""
    if isinstance(held, dict) and isinstance(again, dict):
        for key in sorted({*held, *again} - SOLVED):
            yield from _differs(held.get(key), again.get(key), f"{where}.{key}")
    elif isinstance(held, list) and isinstance(again, list) and len(held) == len(again):
        for number, (one, two) in enumerate(zip(held, again, strict=True)):
            yield from _differs(one, two, f"{where}[{number}]")
    elif isinstance(held, int | float) and isinstance(again, int | float) and not isinstance(held, bool):
        if not math.isclose(held, again, rel_tol=SAME, abs_tol=SAME):
            yield f"{where}: {_shown(held)} for {_shown(again)}"
    elif held != again:
        yield f"{where}: {_shown(held)} for {_shown(again)}"


def _shown(value: Any) -> str:
    """A value in a few words; a file that is spoilt has no number to be told."""
    said = str(value)
    return "what cannot be measured" if "nan" in re.findall("[a-z]+", said) else said[:60]


# --- start.html -----------------------------------------------------------------------------------------------------
def _start(folder: Path, design: Design) -> list[Finding]:
    page = (folder / START).read_text(encoding="utf-8")
    held = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    names = {str(entry["name"]) for entry in held["files"]} | {MANIFEST} - {START}
    linked = {html.unescape(name) for name in re.findall(r'<li><a href="([^"]*)">', page)}
    wanted = {name for files in sorted_by_whom(names - {START}).values() for name, _ in files}
    wrong = [f"{name}: no link" for name in sorted(wanted - linked)]
    wrong += [f"{name}: no such file" for name in sorted(linked - wanted)]
    wrong += [f"{output.what}: not said" for files in sorted_by_whom(wanted).values() for name, output in files
              if f'href="{name}">{name}</a><span>{html.escape(output.what)}</span>' not in page]  # fmt: skip
    if html.escape(marks_of(design)) not in page:
        wrong.append(f"is not of {marks_of(design)}")
    glb = folder / ASSEMBLY
    if glb.is_file() and glb.stat().st_size < LARGEST_GLB:
        shown = re.search(r'id="assembly">([^<]*)<', page)
        if shown is None or base64.b64decode(shown[1]) != glb.read_bytes():
            wrong.append(f"shows another {ASSEMBLY}")
    wrong += _warned(folder, page)
    why = "every file with its line, the marks, the assembly that is here, and what failed or warned"
    return [holds(Check.START_LINKS, START, not wrong, _told(wrong, f"{len(linked)} files"), why, OWN)]


def _warned(folder: Path, page: str) -> Iterator[str]:
    """What the report fails or warns must be on the page."""
    report = json.loads((folder / REPORT).read_text(encoding="utf-8"))
    counted = Counter(re.findall(r'<li><b class="(fail|warn)">', page))
    wanted = Counter(f["verdict"] for f in report["findings"] if f["verdict"] in ("fail", "warn"))
    if counted != wanted:
        yield f"{counted.total()} things to act on for {wanted.total()}"
    text = html.unescape(page)
    for finding in report["findings"]:
        if finding["verdict"] in ("fail", "warn") and finding["why"] not in text:
            yield f"{finding['check']}: not said"


# --- zips -----------------------------------------------------------------------------------------------------------
def _zip(folder: Path, name: str, whom: For, design: Design) -> list[Finding]:
    here = [path.name for path in folder.iterdir()]
    files = sorted_by_whom(here).get(whom, [])
    wanted = [file for file, _ in files if file != name] + [f for f in WITH_SOLIDS.get(whom, ()) if f in here]
    wrong = []
    with zipfile.ZipFile(folder / name) as archive:
        held = archive.namelist()
        if sorted(held) != sorted([ASK, *wanted]):
            wrong.append(f"holds {', '.join(sorted(held))}")
        wrong += [f"{file} is another" for file in held if file in wanted
                  and archive.read(file) != (folder / file).read_bytes()]  # fmt: skip
        listed = [(file, output) for file, output in files if file != name]
        if ASK in held and archive.read(ASK).decode("utf-8") != asked(design, whom, listed):
            wrong.append(f"{ASK} asks for something else")
    why = "the files that lie beside it, byte for byte, and what to ask for"
    return [holds(Check.ZIP_SAME, name, not wrong, _told(wrong, f"{len(wanted)} files"), why, OWN)]


# --- packet.pdf -----------------------------------------------------------------------------------------------------
def _packet(folder: Path, design: Design, findings: Sequence[Finding], report: dict[str, Any]) -> list[Finding]:
    from wheelcad.packet.book import packet_pages

    texts = pdf_texts(folder / PACKET)
    lines = [" ".join(line.split()) for text in texts for line in text.split("\n")]
    numbers = [
        *_settings(lines, design.indexing),
        *_controller(lines, design),
        *wrong_numbers(lines, design, folder),
    ]
    pages = list(packet_pages(design, findings, report, pictured=False))
    pages = [
        page for page in pages[1:-1] if not page.title.startswith("How stiff")
    ]  # tallies, verdicts, finite elements
    words = list(_missing(texts, Words(design.job.units).through([page.blocks for page in pages]), pages))
    metal = (
        "settings of the table, the controller's angles, sizes at lathe, mill, drill and bend: read out of the text, "
        "against the job, the trade's formulas and the other files"
    )
    why = "every row, step and number of its pages as the design has them, in the order of the work"
    return [
        holds(Check.PACKET_NUMBERS, PACKET, not numbers, _told(numbers, "the same"), metal, OWN),
        holds(Check.PACKET_NUMBERS, f"{PACKET}, words", not words, _told(words, "the same"), why, OWN),
    ]


def _settings(lines: Sequence[str], plan: IndexPlan | None) -> Iterator[str]:
    """The rows at the mill: every stop, its angle from turns, dial and pin, its move from the row before."""
    if plan is None or plan.table is None:
        return
    table, before = plan.table, Fraction(0)
    rows = {int(found[1]): found for found in ROW.finditer(" ".join(lines))}  # a row may go over two lines
    for stop in plan.stops:
        row = rows.get(stop.number)
        if row is None:
            yield f"stop {stop.number}: no row"
            continue
        at = int(row[5]) * table.per_turn + degrees_of(row[6])
        pin = None if row[7] is None else (int(row[5]) + Fraction(int(row[7]), int(row[8]))) * table.per_turn
        moved = int(row[9]) * table.per_turn + degrees_of(row[10])
        good = (
            int(row[2]) == stop.cut and abs(at - stop.at) <= table.dial_step / 2 + SAME_DEG and pin in (None, stop.at)
        )
        shown = Fraction(row[4][:-1]) if row[4] else stop.at  # not every list has the angle
        if not good or (moved - (at - before)) % 360 or abs(shown - stop.at) > Fraction(1, 10**5):
            yield f"stop {stop.number}: {row[0]}"
        before = at


SAME_DEG = Fraction(1, 10**9)


def _controller(lines: Sequence[str], design: Design) -> Iterator[str]:
    """What the controller is told, on its own card and on the cover, to half of the last figure."""
    told = design.ignition.report()
    wanted = {
        "Use this: degrees to TDC": told.get("use_deg"),
        "Middle of the gap to TDC": told.get("gap_centre_to_tdc_deg"),
    }
    for what, value in wanted.items():
        if not isinstance(value, int | float):
            continue
        said = [re.search(r"(-?[\d.]+)°", line[len(what) :]) for line in lines if line.startswith(what)]
        if not said or any(found is None or abs(float(found[1]) - value) > 0.00501 for found in said):
            yield f"{what}: {', '.join(found[1] for found in said if found) or 'not there'} for {value:g}"


def _missing(texts: Sequence[str], blocks: list[list[dict[str, Any]]], pages: Sequence[PacketPage]) -> Iterator[str]:
    """What stands on the design's pages and not in the packet, in reading order within each page."""
    text = _bare(" ".join(texts))
    counted = Counter(_bare(said) for page in blocks for said in _said(page))
    for page, held in zip(pages, blocks, strict=True):
        for said in _said(held):
            if text.count(_bare(said)) < counted[_bare(said)]:
                yield f"{page.title}: {said[:80]}"


def _bare(text: str) -> str:
    """Letters and figures alone: lines are broken, and words with them, where they fit."""
    return re.sub(r"[\s\-\u00ad\ufffe\u2010\u2011]", "", text)


def _said(blocks: Sequence[dict[str, Any]]) -> Iterator[str]:
    """Everything that a page's blocks say; a table's rows and pairs whole, so that no number changes places."""
    for block in blocks:
        if block["kind"] == "beside":
            yield from _said(block["left"])
            yield from _said(block["right"])
        elif block["kind"] == "grid":
            yield from (" ".join(row) for row in block["rows"])
        elif block["kind"] == "numbers":
            yield from (" ".join(pair) for pair in block["pairs"])
        elif "lines" in block:
            yield from block["lines"]
        elif "text" in block:
            yield block["text"]


# --- measuring-sheet.pdf --------------------------------------------------------------------------------------------
def _sheet(folder: Path, design: Design) -> list[Finding]:
    texts = pdf_texts(folder / SHEET)
    text = _bare(" ".join(texts))
    values = [
        str(row["value"])
        for row in _rows(sheet_data(design.job, True, pictures(design.job, design.wheel)))
        if row.get("value")
    ]
    counted = Counter(_bare(value) for value in values)
    missing = [value for value in counted if text.count(value) < counted[value]]
    missing += unsaid_lengths(texts, design.job)
    why = f"{len(values)} values of the job, printed in; lengths of pulley and sensor read as a person reads them"
    return [holds(Check.PACKET_NUMBERS, SHEET, not missing, _told(missing, "the same"), why, OWN)]


def _rows(data: Any) -> Iterator[dict[str, Any]]:
    """Every table row in the sheet's data that may hold a value."""
    if isinstance(data, dict):
        if "value" in data:
            yield data
        for inner in data.values():
            yield from _rows(inner)
    elif isinstance(data, list | tuple):
        for inner in data:
            yield from _rows(inner)


__all__ = ["check_delivered"]
