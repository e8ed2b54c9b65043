"""Faults of cutting files and of drawings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from tests.checks.seeded import spoil as by
from tests.checks.seeded.kind import Kind, twin


def _mirror(doc: Any, space: Any) -> None:
    from ezdxf.math import Matrix44

    for e in space:
        e.transform(Matrix44.scale(-1, 1, 1))


def _shift(dx: float) -> Callable[[Any], None]:
    return lambda e: e.translate(dx, 0, 0)


def _wider(e: Any) -> None:
    e.dxf.radius += 0.002


def flats() -> Iterator[Kind]:
    files = {
        "plate": ("wheel-flat.dxf", "wheel-finished.dxf"),
        "turned": ("bracket-flat.dxf",),
        "cam": ("cam-flat.dxf",),
    }
    for job, names in files.items():
        for file in names:
            yield Kind(job, file, "says inches", by.dxf(lambda doc, _: doc.header.__setitem__("$INSUNITS", 1)))
            yield Kind(job, file, "mirrored", by.dxf(_mirror))
            yield Kind(job, file, "a hole moved 0.002", by.entity("CIRCLE", "HOLES", _shift(0.002)))
            yield Kind(job, file, "a hole 0.004 too wide", by.entity("CIRCLE", "HOLES", _wider))
            yield Kind(job, file, "a hole missing", by.entity("CIRCLE", "HOLES", lambda e: e.destroy()))
            yield Kind(
                job, file, "a hole twice", by.dxf(lambda d, s: s.add_circle((30, 31), 4, dxfattribs={"layer": "HOLES"}))
            )
            yield Kind(
                job, file, "a hole on OUTLINE", by.entity("CIRCLE", "HOLES", lambda e: e.dxf.set("layer", "OUTLINE"))
            )
            yield Kind(
                job,
                file,
                "a spline",
                by.dxf(lambda d, s: s.add_spline([(0, 0), (5, 5), (9, 3)], dxfattribs={"layer": "OUTLINE"})),
            )
            yield Kind(
                job, file, "words to be cut", by.dxf(lambda d, s: s.add_text("x", dxfattribs={"layer": "OUTLINE"}))
            )
            yield Kind(job, file, "0.1 % too large", by.dxf(_grow))
            yield Kind(job, file, "all moved 0.01", by.dxf(lambda d, s: [e.translate(0.01, 0, 0) for e in s]))
            piece = "CIRCLE" if file == "wheel-flat.dxf" else "LINE"
            yield Kind(job, file, "a piece of the outline missing", by.entity(piece, "OUTLINE", lambda e: e.destroy()))
            yield Kind(job, file, "a piece of the outline twice", by.dxf(_twice))
            if piece == "LINE":
                yield Kind(job, file, "a piece moved 0.002", by.dxf(_one_corner))
    for what, change in {"a mark moved 0.01": _shift(0.01), "a mark missing": lambda e: e.destroy()}.items():
        yield Kind("plate", "wheel-flat.dxf", what, by.entity("LINE", "MARK", change))
        yield Kind("turned", "bracket-flat.dxf", what, by.entity("LINE", "MARK", change))
    yield Kind("turned", "bracket-flat.dxf", "a slit moved 0.01", by.entity("LINE", "SLIT", _shift(0.01)))
    yield Kind("turned", "bracket-flat.dxf", "a slit missing", by.entity("LINE", "SLIT", lambda e: e.destroy()))
    yield Kind("cam", "bracket-flat.dxf", "a bend marked 0.01 off", by.entity("LINE", "BEND", _shift(0.01)))
    yield Kind("cam", "bracket-flat.dxf", "a bend said the other way", by.text(" UP ", " DOWN "))
    yield Kind("cam", "bracket-flat.dxf", "a bend said by 1° more", by.pattern(r"(BEND 1 \w+) 90", r"\1 91"))
    yield Kind("cam", "bracket-flat-kerf-1.397.dxf", "a hole moved 0.01", by.entity("CIRCLE", "HOLES", _shift(0.01)))
    yield Kind("cam", "bracket-flat-kerf-1.397.dxf", "a hole 0.004 too wide", by.entity("CIRCLE", "HOLES", _wider))
    yield Kind(
        "cam", "bracket-flat-kerf-1.397.dxf", "says inches", by.dxf(lambda d, _: d.header.__setitem__("$INSUNITS", 1))
    )
    yield Kind("cam", "bracket-flat-kerf-1.397.dxf", "0.1 % too large", by.dxf(_grow))
    for file in ("wheel-flat.dxf", "wheel-finished.dxf", "bracket-flat.dxf"):
        yield Kind("plate", file, "of another plan", by.text("plan ", "plan 0"))


def _grow(doc: Any, space: Any) -> None:
    from ezdxf.math import Matrix44

    for e in space:
        e.transform(Matrix44.scale(1.001, 1.001, 1))


def _twice(doc: Any, space: Any) -> None:
    first = next(e for e in space if e.dxf.layer == "OUTLINE")
    space.add_entity(first.copy())


def _one_corner(doc: Any, space: Any) -> None:
    """The corner where two lines meet, moved: nothing comes open."""
    line = next(e for e in space if e.dxftype() == "LINE" and e.dxf.layer == "OUTLINE")
    corner = line.dxf.end
    for e in space:
        if e.dxftype() == "LINE" and e.dxf.layer == "OUTLINE":
            for end in ("start", "end"):
                if e.dxf.get(end).isclose(corner, abs_tol=1e-6):
                    e.dxf.set(end, corner + type(corner)(0.002, 0.002, 0))
        elif (
            e.dxftype() == "ARC"
            and e.dxf.layer == "OUTLINE"
            and min(e.start_point.distance(corner), e.end_point.distance(corner)) < 1e-6
        ):
            e.translate(0.002, 0.002, 0)


def drawings() -> Iterator[Kind]:
    drawn = {"turned": ("wheel", "blank", "bracket"), "plate": ("wheel", "bracket"), "along": ("adapter", "wheel"),
             "cam": ("cam", "blank")}  # fmt: skip
    for job, parts in drawn.items():
        for part in parts:
            file = f"{part}-drawing.dxf"
            yield Kind(job, file, "a dimension says 0.1 more", by.dxf(_dimension_says_more))
            yield Kind(job, file, "a dimension shows another", by.dxf(_dimension_shows_another))
            yield Kind(job, file, "a dimension's end moved 0.5", by.dxf(_dimension_moved))
            yield Kind(job, file, "a dimension missing", by.dxf(_dimension_gone))
            yield Kind(job, file, "a note's figure changed", by.dxf(_note_changed))
            yield Kind(job, file, "the part drawn 0.5 off its dimensions", by.dxf(_lines_moved))
    for job, file, edit in (
        ("turned", "wheel-drawing.pdf", ("outside_diameter: 160", "outside_diameter: 159")),
        ("turned", "blank-drawing.pdf", ("{length: 8, diameter: 118}", "{length: 8, diameter: 117}")),
        ("turned", "bracket-drawing.pdf", ("width: 45", "width: 46")),
        ("turned", "wheel-drawing.dxf", ("depth: 6.35", "depth: 6.45")),
        ("turned", "blank-drawing.dxf", ("recess: {diameter: 60", "recess: {diameter: 61")),
        ("turned", "bracket-drawing.dxf", ("mount_face: -30", "mount_face: -30.5")),
        ("plate", "wheel-drawing.pdf", ("circle: 90", "circle: 91")),
        ("along", "adapter-drawing.pdf", ("length: 1/2", "length: 0.51")),
        ("along", "adapter-drawing.dxf", ("length: 1/2", "length: 0.51")),
        ("cam", "cam-drawing.pdf", ("tooth_width: 3/8", "tooth_width: 0.385")),
        ("cam", "cam-drawing.dxf", ("outside_diameter: 2 3/8", "outside_diameter: 2.4")),
    ):
        yield Kind(job, file, f"of a job with {edit[1].strip('{')}", twin(job, *edit))


def _dims(space: Any) -> list[Any]:
    return [e for e in space if e.dxftype() == "DIMENSION" and (e.dxf.dimtype & 7) == 0]


def _dimension_says_more(doc: Any, space: Any) -> None:
    """What it says and what it shows, both."""
    e = _dims(space)[-1]
    said = str(e.get_xdata("WHEELCAD")[0].value)
    at = [k for k, ch in enumerate(said) if ch.isdigit()][-1]
    more = said[:at] + str((int(said[at]) + 1) % 10) + said[at + 1 :]
    e.set_xdata("WHEELCAD", [(1000, more)])
    for shown in space:
        if shown.dxftype() == "TEXT" and shown.dxf.text == said:
            shown.dxf.text = more


def _dimension_shows_another(doc: Any, space: Any) -> None:
    said = str(_dims(space)[0].get_xdata("WHEELCAD")[0].value)
    for shown in space:
        if shown.dxftype() == "TEXT" and shown.dxf.text == said:
            shown.dxf.text = said[:-1] + ("7" if said[-1] != "7" else "4")


def _dimension_moved(doc: Any, space: Any) -> None:
    e = _dims(space)[0]
    e.dxf.defpoint2 = e.dxf.defpoint2 + type(e.dxf.defpoint2)(0.5, 0.5, 0)


def _dimension_gone(doc: Any, space: Any) -> None:
    space.delete_entity(_dims(space)[0])


def _note_changed(doc: Any, space: Any) -> None:
    for e in space:
        if e.dxftype() == "TEXT" and any(ch.isdigit() for ch in e.dxf.text):
            digit = next(ch for ch in e.dxf.text if ch.isdigit())
            e.dxf.text = e.dxf.text.replace(digit, str((int(digit) + 3) % 10), 1)
            return


def _lines_moved(doc: Any, space: Any) -> None:
    for e in space:
        if e.dxftype() in ("LINE", "LWPOLYLINE", "CIRCLE", "ARC") and e.dxf.layer in ("OUTLINE", "HIDDEN", "HOLES"):
            e.translate(0.5, 0.37, 0)
