"""3MF, the open 3D Manufacturing Format, through the 3MF Consortium's own library.

States millimetres and names, no colour and no date. The library gives every object a random identifier (UUID) and
packs with an empty date; both are replaced by fixed ones, so that the same bodies give the same bytes.
"""

from __future__ import annotations

import uuid
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import lib3mf
import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import UnreadableError
from wheelcad.trade.rows import distinct_rows

FIXED_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a ZIP file can state
DECIMALS = 6  # of a millimetre, as many as the library writes by default


@dataclass(frozen=True)
class Body3mf:
    """A named body: triangles (n, 3, 3) in mm, closed, corners anticlockwise seen from outside."""

    name: str
    triangles: Floats


def write_3mf(path: Path, bodies: Sequence[Body3mf], title: str) -> None:
    """Write bodies, each an object and an item to print where it stands. ValueError for one that is not closed."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.SetUnit(lib3mf.ModelUnit.MilliMeter)
    model.SetBuildUUID(_fixed_uuid(path.name, title, "build"))
    model.GetMetaDataGroup().AddMetaData("", "Title", title, "xs:string", True)
    for i, body in enumerate(bodies):
        corners, rows = merged(body.triangles)
        mesh = model.AddMeshObject()
        mesh.SetName(body.name)
        mesh.SetUUID(_fixed_uuid(path.name, title, f"object {i}"))
        mesh.SetGeometry(
            (lib3mf.Position * len(corners)).from_buffer_copy(np.ascontiguousarray(corners, dtype="<f4").tobytes()),
            (lib3mf.Triangle * len(rows)).from_buffer_copy(np.ascontiguousarray(rows, dtype="<u4").tobytes()),
        )
        if not mesh.IsManifoldAndOriented():
            raise ValueError(f"{body.name} is no closed body: 3MF takes none other")
        item = model.AddBuildItem(mesh, wrapper.GetIdentityTransform())
        item.SetUUID(_fixed_uuid(path.name, title, f"item {i}"))
    writer = model.QueryWriter("3mf")
    writer.SetDecimalPrecision(DECIMALS)
    writer.WriteToFile(str(path))
    _repacked(path)


def merged(triangles: Floats) -> tuple[Floats, np.ndarray[tuple[int, ...], np.dtype[np.intp]]]:
    """Corners (m, 3) without repeats and rows (n, 3) of their numbers; corners equal in single precision are one."""
    corners, rows = distinct_rows(triangles.reshape(-1, 3).astype(np.float32))
    rows = rows.reshape(-1, 3)
    whole = (rows[:, 0] != rows[:, 1]) & (rows[:, 1] != rows[:, 2]) & (rows[:, 2] != rows[:, 0])
    return corners.astype(np.float64), rows[whole]


def read_3mf(path: Path) -> tuple[str, list[Body3mf]]:
    """The unit's name and the bodies of a file, each where its build item puts it. ValueError for a bad file."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    try:
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromFile(str(path))
    except lib3mf.ELib3MFException as error:
        raise UnreadableError(f"{path.name} is no good 3MF: {error}") from None
    bodies = []
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        mesh = model.GetMeshObjectByID(item.GetObjectResourceID())
        corners = np.frombuffer(_bytes(mesh.GetVertices()), dtype="<f4").reshape(-1, 3).astype(np.float64)
        rows = np.frombuffer(_bytes(mesh.GetTriangleIndices()), dtype="<u4").reshape(-1, 3)
        move = np.array([list(row) for row in item.GetObjectTransform().Fields], dtype=np.float64)
        placed = corners @ move[:3] + move[3]
        bodies.append(Body3mf(mesh.GetName(), placed[rows]))
    return model.GetUnit().name, bodies


def _bytes(items: Sequence[object]) -> bytes:
    return b"".join(bytes(item) for item in items)  # type: ignore[call-overload]


def _fixed_uuid(*words: str) -> str:
    return str(uuid.uuid5(uuid.NAMESPACE_OID, "\n".join(words)))


def _repacked(path: Path) -> None:
    """Pack the same parts again with a valid fixed date, the content types first as the packaging standard likes it."""
    with zipfile.ZipFile(path) as old:
        parts = sorted(
            ((info.filename, old.read(info)) for info in old.infolist()), key=lambda p: (p[0][0] != "[", p[0])
        )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as new:
        for name, data in parts:
            info = zipfile.ZipInfo(name, FIXED_DATE)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system, info.external_attr = 3, 0o644 << 16
            new.writestr(info, data)
