"""The table of faults: job, file, what is wrong with it and by how much, and how it is put in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from tests.checks.seeded import spoil as by
from tests.checks.seeded.flat_kinds import drawings, flats
from tests.checks.seeded.jobs import EDITS
from tests.checks.seeded.kind import Kind, twin
from tests.checks.seeded.packets import PACKET_FAULTS, altered
from tests.checks.seeded.spoil import Spoil


def kinds() -> list[Kind]:
    """Every kind of fault there is."""
    return [
        *_twins(),
        *_meshes(),
        *_steps(),
        *flats(),
        *drawings(),
        *_charts(),
        *_bench(),
        *_delivered(),
        *_shown(),
        *_papers(),
    ]


def _twins() -> Iterator[Kind]:
    for job, edits in EDITS.items():
        for edit in edits:
            for file in edit.files:
                yield Kind(job, file, edit.name, twin(job, edit.old, edit.new))


def _meshes() -> Iterator[Kind]:
    faults: dict[str, Callable[[Any], Any]] = {
        "mirrored": by.mirrored,
        "in inches": by.scaled(1 / 25.4),
        "0.1 % too large": by.scaled(1.001),
        "turned 0.05°": by.turned(0.05),
        "moved 0.05 along the crank": by.moved(0, 0, 0.05),
        "moved 0.05 sideways": by.moved(0.05, 0, 0),
        "a triangle missing": lambda t: t[1:],
        "inside out": lambda t: t[:, ::-1],
        "a corner dented 0.1": by.dented(-0.1),
    }
    for job, parts in {"turned": ("wheel", "blank", "bracket", "gauge"), "cam": ("cam",), "plate": ("wheel",)}.items():
        for part in parts:
            for what, change in faults.items():
                if part == "blank" and what == "mirrored":
                    continue  # this one is the same on both sides
                yield Kind(job, f"{part}.stl", what, by.mesh(change))


def _steps() -> Iterator[Kind]:
    for job, parts in {"plate": ("wheel", "bracket"), "turned": ("bracket", "gauge"), "cam": ("cam", "wheel"),
                       "along": ("wheel", "bracket")}.items():  # fmt: skip
        for part in parts:
            yield Kind(job, f"{part}.step", "mirrored", by.step(lambda shape: shape.mirror("YZ")))
            yield Kind(job, f"{part}.step", "0.1 % too large", by.step(lambda shape: shape.scale(1.001)))
            yield Kind(job, f"{part}.step", "moved 0.05 sideways", by.step(lambda shape: shape.translate((0.05, 0, 0))))
    for job, part in (("turned", "blank"), ("along", "adapter")):
        yield Kind(job, f"{part}.step", "0.1 % too large", by.step(lambda shape: shape.scale(1.001)))
        yield Kind(
            job, f"{part}.step", "moved 0.05 along the crank", by.step(lambda shape: shape.translate((0, 0, 0.05)))
        )
        yield Kind(job, f"{part}.step", "upside down", by.step(lambda shape: shape.mirror("XY")))


def _charts() -> Iterator[Kind]:
    more: Callable[[str], str] = lambda value: f"{float(value or 0) + 0.01:.6f}"  # noqa: E731
    one: Callable[[str], str] = lambda value: str(int(value or 0) + 1)  # noqa: E731
    other: Callable[[str], str] = lambda value: f"{value}x"  # noqa: E731
    columns = {"stop": one, "lap": other, "setup": other, "cut": one,
               "work": lambda v: "slot" if v != "slot" else "hole",
               "feature": one, "at_deg": more, "turns": one, "dial_deg": more, "circle": one, "holes": one,
               "advance_turns": one, "advance_dial_deg": more, "advance_holes": one, "error_deg": more,
               "radius_mm": more,
               "inner_mm": more, "diameter_mm": more, "depth_mm": more, "x_mm": more, "y_mm": more, "note": other,
               "marks": other}  # fmt: skip
    for column, change in columns.items():
        yield Kind("turned", "index-chart.csv", f"{column} changed", by.cell(column, change))
        if column in ("at_deg", "turns", "dial_deg", "advance_turns", "advance_dial_deg", "cut", "work"):
            yield Kind("plate", "index-chart.csv", f"{column} changed", by.cell(column, change, 5))
    for column in ("scale_deg", "x_mm", "y_mm", "turns", "dial_deg", "depth_mm"):
        row = 5 if column != "depth_mm" else -1
        yield Kind("cam", "index-chart.csv", f"{column} changed", by.cell(column, columns.get(column, more), row))
    yield Kind("turned", "index-chart.csv", "a row missing", by.table(lambda rows: rows.pop(9)))
    yield Kind(
        "turned",
        "index-chart.csv",
        "two rows changed about",
        by.table(lambda r: r.__setitem__(slice(4, 6), [r[5], r[4]])),
    )
    yield Kind("turned", "index-chart.csv", "a row twice", by.table(lambda r: r.insert(5, r[5])))
    yield Kind("turned", "index-chart.csv", "a column renamed", by.text("dial_deg", "dial_min"))
    yield Kind("along", "index-chart.csv", "every angle 0.01° on", by.table(_all_on))
    for column in ("x_mm", "y_mm", "at_deg", "cut", "point"):
        change = more if "_" in column else one
        yield Kind("cam", "readout-points.csv", f"{column} changed", by.cell(column, change))
    yield Kind("cam", "readout-points.csv", "a point missing", by.table(lambda rows: rows.pop(7)))
    yield Kind("cam", "rotary-axis.nc", "an angle 0.001° off", by.pattern(r"A25\.0000", "A25.0010"))
    yield Kind("cam", "rotary-axis.nc", "a stop missing", by.pattern(r"N\d+ G00 A25\.0000\n", ""))
    yield Kind("cam", "rotary-axis.nc", "no stop before the next turn", by.pattern(r"N(\d+) M00 \(CUT 3[^\n]*\n", ""))
    yield Kind("cam", "rotary-axis.nc", "another axis moves", by.pattern(r"(A25\.0000)", r"\1 X5"))
    yield Kind("cam", "rotary-axis.nc", "relative angles", by.text("G90", "G91"))
    yield Kind(
        "cam",
        "rotary-axis.nc",
        "the work turns the other way",
        by.pattern(r"THE WORK (ANTI)?CLOCKWISE", "THE WORK ROUND"),
    )
    yield Kind("cam", "rotary-axis.nc", "of another plan", by.text("PLAN ", "PLAN 0"))
    yield Kind("cam", "rotary-axis.nc", "cuts changed about", by.text("(CUT 2:", "(CUT 9:"))


def _all_on(rows: list[list[str]]) -> None:
    at = rows[0].index("at_deg")
    for row in rows[1:]:
        row[at] = f"{float(row[at]) + 0.01:.6f}"


def _bench() -> Iterator[Kind]:
    def step(key: str, change: Callable[[Any], Any], which: int = 7) -> Spoil:
        def on(data: dict[str, Any]) -> None:
            data["steps"][which][key] = change(data["steps"][which][key])

        return by.bench(on)

    def general(key: str, value: Any) -> Spoil:
        return by.bench(lambda data: data.__setitem__(key, value))

    on: Callable[[Any], Any] = lambda value: value + 1  # noqa: E731
    for key, change in {
        "turns": on, "at": on, "exact": on, "part": on, "cut": on, "place": on, "lap": on,
        "dial": lambda v: v.replace(v[0], str((int(v[0]) + 1) % 10), 1), "dial_falls": lambda v: "0.05°",
        "pin": lambda v: "or 3 holes of 18", "move": lambda v: v.replace("1 turn", "2 turns", 1),
        "name": lambda v: "slot 99",
        "closing": lambda v: not v, "past_zero": lambda v: not v, "kind": lambda v: "hole",
    }.items():  # fmt: skip
        yield Kind("turned", "bench.html", f"a stop's {key}", step(key, change))
    yield Kind(
        "turned", "bench.html", "a hole's drill", step("do", lambda v: v.replace("8 mm drill", "9 mm drill"), -1)
    )
    yield Kind("cam", "bench.html", "the table's edge", step("edge", lambda v: "1°"))
    yield Kind("along", "bench.html", "a stop's dial", step("dial", lambda v: "1°30′"))
    for key, value in {"ratio": 60, "per_turn": 6.0, "backlash": 0.0, "hole_step": 0.25, "has_scale": True, "job": "x",
                       "picture_sense": -1, "gap_at": 5.0, "mark": "000000", "tolerance": 1.0, "per_turn_text": "6.00°",
                       "scale_rises": False}.items():  # fmt: skip
        yield Kind("turned", "bench.html", f"the page's {key}", general(key, value))
    yield Kind("turned", "bench.html", "a stop missing", by.bench(lambda data: data["steps"].pop(9)))
    yield Kind(
        "turned", "bench.html", "a lap's name", by.bench(lambda d: d["laps"][1].__setitem__("title", "Something"))
    )
    yield Kind("turned", "bench.html", "a table's dial", by.text("<td>8.00°</td>", "<td>8.05°</td>"))
    yield Kind("turned", "bench.html", "a table's turns", by.text("</span>7</td><td>7<", "</span>7</td><td>8<"))
    yield Kind("turned", "bench.html", "a table's hole", by.text("<td>14/18</td>", "<td>13/18</td>"))
    yield Kind("turned", "bench.html", "a table's move", by.text("<td>1 + 1.00°</td>", "<td>2 + 1.00°</td>"))
    yield Kind("turned", "bench.html", "marks at its head", by.pattern(r"Of job (\w)", r"Of job 0\1"))


def _delivered() -> Iterator[Kind]:
    def number(*keys: Any) -> Spoil:
        def change(data: dict[str, Any]) -> None:
            inner: Any = data
            for key in keys[:-1]:
                inner = inner[key]
            held = inner[keys[-1]]
            inner[keys[-1]] = held + abs(held) * 1e-4 + 1e-4

        return by.report(change)

    for keys in (
        ("wheel", "pitch_deg"), ("wheel", "slot_centres_deg", 3), ("wheel", "tooth_edges_deg", 5, 1),
        ("wheel", "mass_kg"),
        ("wheel", "gap_centre_deg"), ("wheel", "tooth_top_mm"), ("wheel", "polar_inertia_kg_mm2"),
        ("balance", "before", "unbalance_g_mm"), ("balance", "after", "unbalance_g_mm"),
        ("balance", "correction", "holes", 0, "at_deg"), ("balance", "permissible_g_mm"),
        ("indexing", "cuts", 4, "dial_deg"), ("indexing", "stops", 60, "at_deg"), ("indexing", "degrees_per_turn"),
        ("ignition", "use_deg"), ("ignition", "first_edge_to_tdc_deg"), ("ignition", "gap_centre_to_tdc_deg"),
        ("bracket", "bends", 0, "allowance_mm"), ("bracket", "flat_size_mm", 0), ("bracket", "mass_kg"),
        ("gauge", "size_mm", 0), ("gauge", "bolt_hole_mm"), ("signal", "sync", "margin"),
        ("budget", "before_trim_95_deg"),
    ):  # fmt: skip
        yield Kind("turned", "report.json", f"{'.'.join(map(str, keys))} 0.01 % off", number(*keys))
    yield Kind("along", "report.json", "adapter's grip", number("adapter", "grip_mm"))
    yield Kind("cam", "report.json", "cam's edge", number("cam", "edges_deg", 0))
    yield Kind(
        "turned", "report.json", "pairs of cylinders", by.report(lambda d: d["ignition"]["companions"].reverse())
    )
    yield Kind("turned", "report.json", "a verdict", by.report(_pass_all))
    yield Kind("turned", "report.json", "a finding missing", by.report(lambda d: d["findings"].pop(5)))
    yield Kind("turned", "report.json", "a measured value", by.report(lambda d: _tampered(d["findings"])))
    yield Kind("turned", "report.json", "a section missing", by.report(lambda d: d.pop("gauge")))
    for job, name, file in (
        ("turned", "for-lathe.zip", "blank.step"),
        ("turned", "for-plasma.zip", "bracket-flat.dxf"),
        ("turned", "for-printer.zip", "gauge.stl"),
        ("plate", "for-plasma.zip", "wheel-flat.dxf"),
    ):
        yield Kind(job, name, f"{file} is another", by.archive(lambda m, f=file: m.__setitem__(f, m[f] + b" ")))
        yield Kind(job, name, f"{file} missing", by.archive(lambda m, f=file: m.pop(f)))
    yield Kind("turned", "for-lathe.zip", "asks for something else", by.archive(_other_ask))
    yield Kind("turned", "for-plasma.zip", "a file too many", by.archive(lambda m: m.__setitem__("x.dxf", b"")))
    yield Kind("turned", "start.html", "a link missing", by.pattern(r'<li><a href="wheel-drawing\.pdf">.*?</li>', ""))
    yield Kind("turned", "start.html", "a link to nothing", by.text('<a href="wheel.stl">', '<a href="wheal.stl">'))
    yield Kind(
        "turned",
        "start.html",
        "a file's line changed",
        by.text("the layout gauge as it stands", "the gauge as it lies"),
    )
    yield Kind("turned", "start.html", "another assembly", by.pattern(r'(id="assembly">.{400})(.)', r"\1"))
    yield Kind("turned", "start.html", "of another job", by.pattern(r"job (\w{7})\w plan", r"job \g<1>z plan"))
    yield Kind("turned", "start.html", "a warning missing", by.pattern(r'<li><b class="warn">.*?</li>', ""))
    yield Kind("turned", "start.html", "a warning's figure", by.pattern(r"(reached at )\d", r"\g<1>9"))
    for job, what, change in PACKET_FAULTS:
        yield Kind(job, "packet.pdf", what, altered(job, change))


def _pass_all(data: dict[str, Any]) -> None:
    for finding in data["findings"]:
        finding["verdict"] = "pass"


def _tampered(findings: list[dict[str, Any]]) -> None:
    found = next(f for f in findings if f["check"] == "tooth-top")
    found["measured"] *= 1.01


def _other_ask(members: dict[str, bytes]) -> None:
    members["what-to-ask-for.txt"] = members["what-to-ask-for.txt"].replace(b"one of each", b"two of each")


def _shown() -> Iterator[Kind]:
    def part(name: str, change: Callable[[Any], Any]) -> Spoil:
        return by.glb(lambda parts: parts.__setitem__(name, change(parts[name])))

    for name in ("wheel", "bracket", "sensor", "mount bolt 1"):
        yield Kind("turned", "assembly.glb", f"{name} moved 0.3", part(name, by.moved(0.3, 0, 0)))
    yield Kind("plate", "assembly.glb", "wheel mirrored", part("wheel", by.mirrored))
    yield Kind("turned", "assembly.glb", "bracket mirrored", part("bracket", by.mirrored))
    yield Kind("turned", "assembly.glb", "wheel turned 0.5°", part("wheel", by.turned(0.5)))
    yield Kind("turned", "assembly.glb", "sensor missing", by.glb(lambda parts: parts.pop("sensor")))
    yield Kind("turned", "assembly.glb", "a part too many", by.glb(lambda p: p.__setitem__("x", p["wheel"])))
    yield Kind("turned", "assembly.glb", "a part renamed", by.glb(lambda p: p.__setitem__("whell", p.pop("wheel"))))
    yield Kind(
        "turned",
        "assembly.glb",
        "in metres taken for mm",
        by.glb(lambda p: [p.__setitem__(n, t / 1000) for n, t in list(p.items())]),
    )
    yield Kind("along", "assembly.glb", "pulley moved 0.3", part("pulley", by.moved(0, 0, 0.3)))
    yield Kind("along", "assembly.glb", "adapter missing", by.glb(lambda parts: parts.pop("adapter")))
    for what, change in {
        "0.1 % too large": by.scaled(1.001), "mirrored": by.mirrored, "moved 0.05 up": by.moved(0, 0, 0.05),
        "moved 0.05 sideways": by.moved(0.05, 0, 0), "upside down": lambda t: t * np.array([1.0, -1.0, -1.0]),
    }.items():  # fmt: skip
        yield Kind(
            "turned",
            "gauge.3mf",
            what,
            by.print_file(lambda bodies, c=change: bodies[0].__setitem__(1, c(bodies[0][1]))),
        )
    yield Kind("turned", "gauge.3mf", "a body without name", by.print_file(lambda bodies: bodies[0].__setitem__(0, "")))
    yield Kind("turned", "gauge.3mf", "in inches", by.archive(_inches))


def _inches(members: dict[str, bytes]) -> None:
    name = next(n for n in members if n.endswith(".model"))
    members[name] = members[name].replace(b'unit="millimeter"', b'unit="inch"')


def _papers() -> Iterator[Kind]:
    for job, file, old, new in (
        ("turned", "gauge-paper.pdf", "gap_at: 0 deg", "gap_at: 1 deg"),
        ("turned", "gauge-paper.pdf", "circle: 80", "circle: 81"),
        ("turned", "bracket-paper.pdf", "x: -132, y: 88", "x: -132.5, y: 88"),
        ("plate", "gauge-paper.pdf", "first_at: 15", "first_at: 16"),
        ("plate", "bracket-paper.pdf", "width: 40", "width: 41"),
    ):
        yield Kind(job, file, f"of a job with {new}", twin(job, old, new))
