"""How a written file is spoilt: one function a format. Each takes the folder and the file's name, and changes it."""

from __future__ import annotations

import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.files.dxf import MARKED_BY, _marked
from wheelcad.files.stl import read_stl, write_triangles

Spoil = Callable[[Path], None]


def text(old: str, new: str, count: int = 1) -> Spoil:
    """The first `old` of the file's text becomes `new`; it must be there."""

    def spoil(path: Path) -> None:
        held = path.read_text(encoding="utf-8")
        assert old in held, (path.name, old)
        path.write_text(held.replace(old, new, count), encoding="utf-8", newline="")

    return spoil


def pattern(old: str, new: str) -> Spoil:
    """The same for a regular expression."""

    def spoil(path: Path) -> None:
        held = path.read_text(encoding="utf-8")
        changed, times = re.subn(old, new, held, count=1)
        assert times == 1, (path.name, old)
        path.write_text(changed, encoding="utf-8", newline="")

    return spoil


def mesh(change: Callable[[Floats], Floats]) -> Spoil:
    """An STL's triangles changed."""

    def spoil(path: Path) -> None:
        write_triangles(path, change(read_stl(path)))

    return spoil


def mirrored(triangles: Floats) -> Floats:
    """Left for right, still seen from outside."""
    return (triangles * np.array([-1.0, 1.0, 1.0]))[:, ::-1]


def turned(degrees: float) -> Callable[[Floats], Floats]:
    """Turned about the crank's axis."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return lambda triangles: triangles @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])


def moved(*by: float) -> Callable[[Floats], Floats]:
    return lambda triangles: triangles + np.array(by)


def scaled(by: float) -> Callable[[Floats], Floats]:
    return lambda triangles: triangles * by


def dented(by: float) -> Callable[[Floats], Floats]:
    """One corner of the mesh, wherever it is used, moved away from the axis."""

    def change(triangles: Floats) -> Floats:
        out, corner = triangles.copy(), triangles.reshape(-1, 3)[0]
        out[(triangles == corner).all(axis=2)] += np.array([by, by, 0.0])
        return out

    return change


def step(change: Callable[[Any], Any]) -> Spoil:
    """A STEP file's shape changed."""

    def spoil(path: Path) -> None:
        from wheelcad.files.step import read_step, write_step

        write_step(path, change(read_step(path)), path.stem)

    return spoil


def dxf(change: Callable[[Any, Any], None]) -> Spoil:
    """A DXF's document and model space changed, its marks kept."""

    def spoil(path: Path) -> None:
        import ezdxf

        head = path.read_text(encoding="utf-8").splitlines()[:2]
        doc = ezdxf.readfile(path)
        change(doc, doc.modelspace())
        doc.saveas(path)
        if head[0] == "999":  # the library keeps neither comment nor property
            path.write_bytes(_marked(path.read_bytes(), head[1].removeprefix(f"{MARKED_BY} ")))

    return spoil


def entity(kind: str, layer: str, change: Callable[[Any], None], which: int = 0) -> Spoil:
    """One entity of a kind on a layer changed."""

    def on(doc: Any, space: Any) -> None:
        change([e for e in space if e.dxftype() == kind and (not layer or e.dxf.layer == layer)][which])

    return dxf(on)


def table(change: Callable[[list[list[str]]], None]) -> Spoil:
    """A CSV's rows, the head first, changed."""

    def spoil(path: Path) -> None:
        import csv
        import io

        rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"), newline="")))
        change(rows)
        with path.open("w", encoding="utf-8", newline="") as handle:
            csv.writer(handle, lineterminator="\r\n").writerows(rows)

    return spoil


def cell(column: str, value: Callable[[str], str], row: int = -3) -> Spoil:
    """One field of a CSV changed, of the last row but two unless said otherwise."""

    def change(rows: list[list[str]]) -> None:
        at = rows[0].index(column)
        rows[row][at] = value(rows[row][at])

    return table(change)


def bench(change: Callable[[dict[str, Any]], None]) -> Spoil:
    """The bench page's block of data changed."""

    def spoil(path: Path) -> None:
        page = path.read_text(encoding="utf-8")
        found = re.search(r'(id="plan">)(.*?)(</script>)', page, re.S)
        assert found is not None
        data = json.loads(found[2])
        change(data)
        told = json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
        path.write_text(page[: found.start(2)] + told + page[found.end(2) :], encoding="utf-8", newline="")

    return spoil


def report(change: Callable[[dict[str, Any]], None]) -> Spoil:
    """report.json changed."""

    def spoil(path: Path) -> None:
        data = json.loads(path.read_text(encoding="utf-8"))
        change(data)
        path.write_text(json.dumps(data, indent=1, ensure_ascii=False), encoding="utf-8")

    return spoil


def archive(change: Callable[[dict[str, bytes]], None]) -> Spoil:
    """A zip's members changed."""

    def spoil(path: Path) -> None:
        with zipfile.ZipFile(path) as held:
            members = {name: held.read(name) for name in held.namelist()}
        change(members)
        with zipfile.ZipFile(path, "w") as held:
            for name, data in members.items():
                held.writestr(name, data)

    return spoil


def glb(change: Callable[[dict[str, Floats]], None]) -> Spoil:
    """The assembly's shown parts changed: triangles in mm by name."""

    def spoil(path: Path) -> None:
        from wheelcad.files.glb import Mesh, write_glb
        from wheelcad.files.glb_reader import read_glb

        parts = {m.name: m.points[m.triangles] for m in read_glb(path)}
        change(parts)
        write_glb(path, [Mesh(n, t.reshape(-1, 3), np.arange(t.size // 3).reshape(-1, 3), (0.5, 0.5, 0.5))
                         for n, t in parts.items()])  # fmt: skip

    return spoil


def print_file(change: Callable[[list[Any]], None]) -> Spoil:
    """gauge.3mf's bodies changed."""

    def spoil(path: Path) -> None:
        from wheelcad.files.threemf import Body3mf, read_3mf, write_3mf

        bodies = [[body.name, body.triangles] for body in read_3mf(path)[1]]
        change(bodies)
        write_3mf(path, [Body3mf(name, triangles) for name, triangles in bodies], "x")

    return spoil


def missing(path: Path) -> None:
    """The file is not there, and the manifest does not know it."""
    path.unlink()
