"""3MF: what is written comes back, the same bytes every time, and nothing that is no closed body."""

from __future__ import annotations

import zipfile
from pathlib import Path

import numpy as np
import pytest

from wheelcad.arrays import Floats
from wheelcad.files.threemf import Body3mf, read_3mf, write_3mf


def tetrahedron(x: float = 0.0) -> Floats:
    """A closed body with corners anticlockwise seen from outside."""
    a, b, c, d = np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 10.0]]) + np.array([x, 0, 0])
    return np.array([[a, c, b], [a, b, d], [b, c, d], [a, d, c]])


def test_bodies_come_back_in_millimetres_with_their_names(tmp_path: Path) -> None:
    bodies = [Body3mf("one", tetrahedron()), Body3mf("two", tetrahedron(30.0))]
    write_3mf(tmp_path / "a.3mf", bodies, "trial")
    unit, found = read_3mf(tmp_path / "a.3mf")
    assert unit == "MilliMeter"
    assert [body.name for body in found] == ["one", "two"]
    for body, back in zip(bodies, found, strict=True):
        assert np.allclose(back.triangles, body.triangles, atol=1e-6)


def test_the_same_bodies_give_the_same_bytes(tmp_path: Path) -> None:
    for folder in ("first", "second"):
        (tmp_path / folder).mkdir()
        write_3mf(tmp_path / folder / "a.3mf", [Body3mf("one", tetrahedron())], "trial")
    assert (tmp_path / "first" / "a.3mf").read_bytes() == (tmp_path / "second" / "a.3mf").read_bytes()


def test_the_package_states_its_unit_and_no_colour(tmp_path: Path) -> None:
    write_3mf(tmp_path / "a.3mf", [Body3mf("one", tetrahedron())], "trial")
    with zipfile.ZipFile(tmp_path / "a.3mf") as package:
        assert package.namelist()[0] == "[Content_Types].xml"
        assert {info.date_time for info in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        model = package.read("3D/3dmodel.model").decode("utf-8")
    assert 'unit="millimeter"' in model
    assert "<m:color" not in model
    assert "basematerials" not in model


def test_an_open_body_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="closed"):
        write_3mf(tmp_path / "a.3mf", [Body3mf("torn", tetrahedron()[:3])], "trial")


def test_a_file_that_is_no_3mf_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "a.3mf").write_bytes(b"nothing of the kind")
    with pytest.raises(ValueError, match="no good 3MF"):
        read_3mf(tmp_path / "a.3mf")
