"""What every check finds, as a table that can be kept: to see that no check changes unmeant.

    python -m tests.checks.measured          # writes measured.json anew; say in the commit why it changed

Of sound files of every form (`forms`) all findings are kept: what was measured, its limit, the verdict and the
sentence. Of wrong ones those that do not pass: how far off a check says that a file is. Wrong are files held against
another job's design (`EDITS`, as if two versions had been mixed up), and files that were spoilt (`seeded`).

That a fault is caught is shown by tests/checks/seeded; here the numbers are held still. Measured numbers may move by a
five hundredth of their limit where they are of a mesh or a solid, which kernels round differently.
"""

from __future__ import annotations

import json
import math
import os
import pickle
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from multiprocessing import Pool
from pathlib import Path
from typing import cast

from tests.checks.forms import TEXTS, Form, form, home, keep_in, looks
from tests.checks.seeded.jobs import EDITS
from tests.checks.seeded.kind import Kind
from tests.checks.seeded.kinds import kinds
from tests.checks.seeded.twins import edited_design
from wheelcad.errors import JobError
from wheelcad.findings import Finding
from wheelcad.parts.design import Design
from wheelcad.words import Words

FILE = Path(__file__).with_name("measured.json")
SOUND = ""  # the name of no fault
MOVES, ROUNDS = 0.002, 1e-6  # of a limit; and of the number itself, or mm
OF_TEXT = (".csv", ".nc", ".html", ".pdf", "-drawing.dxf")  # whose numbers no kernel rounds
NUMBER = re.compile(r"\d+(?:\.\d+)?")
DELIVERED = (".zip", ".json", "packet.pdf", "start.html")  # whose checks are not in wheelcad/checks

# more than `seeded.jobs` edits: what shows in charts, pages, paper and the assembly
MORE = {
    "turned": [("ratio: 40", "ratio: 90"), ("dial_step: 0.05 deg", "dial_step: 0.1 deg"),
               ("covers: 360", "covers: 180"), ("backlash: 0.2", "backlash: 0.3"),
               ("style: outline", "style: windows"), ("gap_at: 0 deg", "gap_at: 1 deg"), ("grade: G16", "grade: G6.3"),
               ("face_diameter: 6", "face_diameter: 7"),
               ("max_speed: 5200", "max_speed: 7000"), ("circle: 80", "circle: 84"), ("teeth: 36", "teeth: 34"),
               ("diameter: 6, flutes", "diameter: 5, flutes"), ("y: 138", "y: 140"),
               ("thickness: 4,", "thickness: 4.5,")],
    "plate": [("ratio: 72", "ratio: 40"), ("scale: clockwise", "scale: anticlockwise"), ("gap_at: 90", "gap_at: 91"),
              ("covers: 360", "covers: 180"), ("kerf: 1.5", "kerf: 1.6"),
              ("largest_drill: 10", "largest_drill: 8"), ("count: 6", "count: 5"), ("missing: 2", "missing: 1"),
              ("adjust: 5", "adjust: 7"), ("x: 160, y: 100", "x: 160, y: 102")],
    "along": [("ratio: 90", "ratio: 40"), ("gap_at: 120", "gap_at: 121"),
              ("air_gap: 0.040", "air_gap: 0.050"), ("adjust: 1/4", "adjust: 3/8"),
              ("at: 60 deg\n  air", "at: 70 deg\n  air"), ("count: 3", "count: 4"), ("bends: brake", "bends: hand")],
    "cam": [("scale: clockwise", "scale: anticlockwise"), ("ratio: 40", "ratio: 60"), ("gap_at: 40", "gap_at: 41"),
            ("degrees: [10, 20]", "degrees: [10, 21]"), ("tdc: notch", "tdc: line"),
            ("rotary_axis: yes", "rotary_axis: no"),
            ("bend_marks: yes", "bend_marks: no"),
            ("style: outline", "style: windows")],
}  # fmt: skip
# of the random jobs: by pattern, as each has its own numbers
PATTERNS = {
    "another gap": (r"gap_at: [\d.]+", "gap_at: 77"),
    "bolts elsewhere": (r"first_at: \d+", "first_at: 7"),
    "fewer teeth": (r"teeth: (\d)\d", r"teeth: \g<1>1"),
    "a wider slot": (r"slot: \{width: ([\d.]+)", r"slot: {width: \g<1>1"),
    "a wider gauge allowance": (r"hole_allowance: [\d.]+", "hole_allowance: 0.15"),
    "more travel": (r"adjust: [\d.]+", "adjust: 0.2"),
    "another ratio": (r"ratio: \d+", "ratio: 45"),
    "a cam tooth elsewhere": (r"(half-moon|tooth), at: \d+", r"\g<1>, at: 11"),
}

WORDS = Words()  # sentences as they are printed

Row = tuple[str, str, float | str, float | str, str, str]  # check, about, measured, limit, verdict, why


@cache
def edits(name: str) -> dict[str, tuple[str, str]]:
    """What is changed in a job's text for a design that its files are not of, by what is said of it."""
    if name in EDITS:
        more = {f"{new} for {old}".replace("\n", ""): (old, new) for old, new in MORE[name]}
        return {edit.name: (edit.old, edit.new) for edit in EDITS[name] if not edit.name.endswith("shown")} | more
    text, out = TEXTS[name](), {}
    for what, (pattern, new) in PATTERNS.items():
        found = re.search(pattern, text)
        if found:
            out[what] = found[0], found.expand(new)
    return out


@cache
def spoilt() -> dict[str, Kind]:
    """The spoilt files that no other job writes, by name: those another job writes are held against its design."""
    return {
        kind.name: kind
        for kind in kinds()
        if not kind.file.endswith((*DELIVERED, ".step")) and "twin" not in kind.spoil.__qualname__
    }


def rows(name: str, fault: str, subject: str) -> list[Row]:
    """What the checks that look at a file (or several) find: all, or with a fault what does not pass."""
    if fault in spoilt():
        found = [look() for look in looks(_with_spoilt(form(name), spoilt()[fault]))[subject]]
    else:
        found = [look() for look in looks(form(name), _design(name, fault))[subject]]
    return [_row(f) for own in found for f in own if not fault or f.verdict != "pass"]


def _design(name: str, fault: str) -> Design | None:
    """The design that a job's files are held against where it is another one; kept beside them."""
    if fault == SOUND:
        return None
    path = home() / "designs" / re.sub(r"\W+", "-", f"{name} {fault}.pickle")
    if not path.exists():
        path.parent.mkdir(exist_ok=True)
        aside = path.with_suffix(f".{os.getpid()}")
        aside.write_bytes(pickle.dumps(edited_design(name, *edits(name)[fault])))
        aside.replace(path)
    return cast(Design, pickle.loads(path.read_bytes()))


def _with_spoilt(sound: Form, kind: Kind) -> Form:
    """The job's files with one of them spoilt; the others are the same ones."""
    folder = home() / "spoilt" / re.sub(r"\W+", "-", kind.name)
    if not folder.exists():
        aside = Path(tempfile.mkdtemp(dir=home()))
        for path in sound.folder.iterdir():
            if path.name == kind.file:
                shutil.copy(path, aside / path.name)
            else:
                (aside / path.name).symlink_to(path)
        kind.spoil(aside / kind.file)
        folder.parent.mkdir(exist_ok=True)
        aside.rename(folder)
    return Form(sound.name, folder, sound.design, sound.found)


def _row(finding: Finding) -> Row:
    return (str(finding.check), finding.subject, _plain(finding.measured), _plain(finding.limit), finding.verdict,
            WORDS.text(finding.why))  # fmt: skip


def _plain(value: float | str) -> float | str:
    """A number as JSON takes it."""
    if isinstance(value, str):
        return WORDS.text(value)
    return float(f"{float(value):.9g}") if math.isfinite(value) else "no number"


def same(now: Row, then: Row, exact: bool) -> bool:
    """Whether a row is what it was. exact: no kernel rounds its number."""
    limit = then[3] if isinstance(then[3], float | int) else 0.0
    return (now[0], now[1], now[4]) == (then[0], then[1], then[4]) and all(
        _alike(str(a), str(b))
        if isinstance(a, str) or isinstance(b, str)
        else abs(a - b) <= max(ROUNDS, ROUNDS * abs(b), room * abs(limit))
        for a, b, room in ((now[2], then[2], 0.0 if exact else MOVES), (now[3], then[3], 0.0), (now[5], then[5], 0.0))
    )


def _alike(a: str, b: str) -> bool:
    """The same sentence, its decimals a unit of the last digit apart at most."""
    if a == b:
        return True
    if NUMBER.split(a) != NUMBER.split(b):
        return False
    for x, y in zip(NUMBER.findall(a), NUMBER.findall(b), strict=True):
        if x != y:
            digits = min(len(x.partition(".")[2]), len(y.partition(".")[2]))
            if not digits or abs(float(x) - float(y)) > 1.5 * 10.0**-digits:
                return False
    return True


def exact(subject: str) -> bool:
    """Whether no number of this subject's findings comes from a kernel."""
    return all(part.endswith(OF_TEXT) for part in subject.split(", "))


def case_name(name: str, fault: str, subject: str) -> str:
    """As a test is called."""
    words = f"{name} {fault.partition(':')[2] or fault} {subject}"
    return re.sub(r"[^A-Za-z0-9.]+", "-", words).strip("-") + ("" if fault else " sound")


def kept() -> dict[str, dict[str, dict[str, list[Row]]]]:
    """measured.json: rows by job, fault and subject."""
    read = json.loads(FILE.read_text(encoding="utf-8"))
    return {
        name: {fault: {at: [_read(row) for row in own] for at, own in of.items()} for fault, of in faults.items()}
        for name, faults in read.items()
    }


def _read(row: list[float | str]) -> Row:
    return tuple(row)  # type: ignore[return-value]


def prepare() -> None:
    """Makes every file and design that the table needs."""
    for name, faults in kept().items():
        sound = form(name)
        for fault in faults:
            if fault in spoilt():
                _with_spoilt(sound, spoilt()[fault])
            elif fault:
                _design(name, fault)


def candidates(name: str) -> Iterator[tuple[str, str]]:
    """(fault, subject) of one job that may find something; the sound files first."""
    own = form(name)
    for subject in looks(own):
        yield SOUND, subject
    files = {edit.name: edit.files for edit in EDITS.get(name, [])}
    for fault in edits(name):
        try:
            design = _design(name, fault)
        except (JobError, AssertionError) as error:
            print(f"{name}: no job with {fault}: {str(error)[:200]}", flush=True)
            continue
        for subject in looks(own, design):
            if _shows(subject, files.get(fault)):
                yield fault, subject
    for fault, kind in spoilt().items():
        if kind.job == name:
            for subject in looks(own):
                if _opens(subject, kind.file):
                    yield fault, subject


def _found(name: str) -> tuple[str, dict[str, dict[str, list[Row]]]]:
    """All rows of one job."""
    out: dict[str, dict[str, list[Row]]] = {}
    for fault, subject in candidates(name):
        found = rows(name, fault, subject)
        if fault == SOUND or any(row not in out[SOUND].get(subject, []) for row in found):
            out.setdefault(fault, {})[subject] = found
    print(f"{name}: {sum(map(len, out.values()))}", flush=True)
    return name, out


def _shows(subject: str, files: tuple[str, ...] | None) -> bool:
    """Whether an edit may show in what a subject's checks open. files: in which it does; None: in all but solids."""
    if files is None:
        return not subject.endswith(".step") and subject not in ("wheel.stl", "blank.stl")
    stems = {file.partition(".")[0].partition("-")[0] for file in files if not file.endswith(".step")}
    words = re.split(r"[^a-z]+", subject)
    return any(stem in words for stem in stems) and not ({"drawing", "paper"} & {*words})


def _opens(subject: str, file: str) -> bool:
    """Whether the checks of a subject may open a file."""
    part = file.partition(".")[0].partition("-")[0]
    words = subject.replace(",", " ").replace(".", " ").replace("-", " ").split()
    cut = file.endswith(".dxf") and subject.endswith("-flat.dxf")
    return part in words or cut or (part in ("readout", "rotary") and subject.endswith((".csv", ".nc")))


def write(made: dict[str, dict[str, dict[str, list[Row]]]]) -> None:
    """Writes measured.json, a finding a line."""

    def told(value: object, depth: int) -> str:
        if not depth:
            return json.dumps(value, ensure_ascii=False)
        if isinstance(value, dict):
            inner = (f"{json.dumps(key, ensure_ascii=False)}: {told(one, depth - 1)}" for key, one in value.items())
            return "{" + ",\n".join(inner) + "}"
        return "[" + ",\n".join(told(one, 0) for one in cast(list[object], value)) + "]"

    FILE.write_text(told(dict(sorted(made.items())), 4) + "\n", encoding="utf-8")
    print({name: sum(map(len, faults.values())) for name, faults in made.items()})


def main(given: list[str]) -> None:
    """Writes the table."""
    if given:
        keep_in(Path(given[0]))
    home()
    with Pool(os.cpu_count()) as pool:
        made = dict(pool.imap_unordered(_found, list(TEXTS), 1))
    write(made)


if __name__ == "__main__":
    main(sys.argv[1:])
