"""A library that is missing names itself and what brings it, wherever it is missed; nothing is blamed on the job."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import ROOT
from wheelcad.errors import LibraryError
from wheelcad.kernel import LIBRARY, _words
from wheelcad.libraries import EXTRAS, PACKAGES, missing_words, told

HIDE = """
import sys
from importlib.abc import MetaPathFinder
class Hidden(MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name.split(".")[0] == {module!r}:
            raise ModuleNotFoundError(f"No module named {{name!r}}", name=name)
sys.meta_path.insert(0, Hidden())
"""


def without(module: str, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """A command of ours, and the processes it starts, where a library is not installed."""
    (folder / "hide").mkdir(exist_ok=True)
    (folder / "hide" / "sitecustomize.py").write_text(HIDE.format(module=module))
    paths = os.pathsep.join([str(folder / "hide"), str(ROOT)])
    return subprocess.run(
        [sys.executable, "-m", "wheelcad", *words],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


def written(folder: Path) -> Iterator[str]:
    """What stands in the folder of outputs."""
    return (path.name for path in folder.glob("outputs/*"))


def test_every_library_we_ask_for_is_one_the_project_names() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = f"{project['dependencies']} {project['optional-dependencies']}"
    for module, package in PACKAGES.items():
        if EXTRAS.get(module) in project["optional-dependencies"] or module not in EXTRAS:
            assert package.split("[")[0] in asked or module in ("pydantic", "OCP"), module


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (ModuleNotFoundError("No module named 'skfem'", name="skfem"), "pip install scikit-fem"),
        (ModuleNotFoundError("no", name="lib3mf.lib3mf"), "pip install lib3mf"),
        (ModuleNotFoundError("no", name="cv2"), "pip install 'wheelcad[photos]'"),
        (ModuleNotFoundError("no", name="nicegui"), "pip install 'wheelcad[page]'"),
        (ImportError("libGL.so.1: cannot open shared object file", name="OCP"), "apt-get install libgl1"),
        (ImportError("cannot import name 'compile'", name="typst"), "typst cannot be loaded: cannot import name"),
    ],
)
def test_what_is_missing_says_what_brings_it(error: ImportError, said: str) -> None:
    assert said in missing_words(error)
    assert said in _words(error)[0]
    assert _words(error)[1] == LIBRARY
    with pytest.raises(LibraryError, match="a build"), told("a build"):
        raise error


def test_a_module_of_our_own_that_is_missing_is_our_mistake() -> None:
    with pytest.raises(ModuleNotFoundError), told("a build"):
        raise ModuleNotFoundError("no", name="wheelcad.gone")


@pytest.mark.parametrize(
    ("module", "words", "said"),
    [
        ("reportlab", ("sheet", "--tags"), "pip install reportlab"),
        ("typst", ("sheet",), "pip install typst"),
        ("distributed", ("build", "x.yaml", "--cluster", "tcp://127.0.0.1:1"), "pip install 'wheelcad[cluster]'"),
    ],
)
def test_a_command_that_lacks_one_ends_with_a_sentence(
    module: str, words: tuple[str, ...], said: str, tmp_path: Path
) -> None:
    done = without(module, tmp_path, *words)
    assert done.returncode == 2, done.stderr
    assert said in done.stderr
    assert len(done.stderr.strip().split("\n")) == 1


@pytest.mark.slow
@pytest.mark.parametrize("module", ["typst", "lib3mf", "matplotlib", "reportlab", "ezdxf", "cadquery", "skfem"])
def test_a_build_that_lacks_one_writes_nothing_and_says_which(module: str, tmp_path: Path) -> None:
    done = without(module, tmp_path, "build", str(ROOT / "configs" / "tarn-six.yaml"))
    assert done.returncode == 2, done.stderr
    assert f"pip install {PACKAGES[module]}" in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(written(tmp_path))


@pytest.mark.slow
def test_without_the_mesher_a_build_goes_on_and_says_so(tmp_path: Path) -> None:
    done = without("gmsh", tmp_path, "build", str(ROOT / "configs" / "tarn-six.yaml"))
    assert "pip install gmsh" in " ".join(done.stdout.split())  # wherever its lines break
    assert list(written(tmp_path)) == ["tarn-six"]


@pytest.mark.slow
@pytest.mark.parametrize(("module", "file"), [("skimage", "wheel.png"), ("cv2", "engine.jpg")])
def test_pictures_without_their_library(module: str, file: str, tmp_path: Path) -> None:
    from PIL import Image

    Image.new("L", (800, 800), 255).save(tmp_path / file)
    job = str(ROOT / "configs" / "tarn-six.yaml")
    words = ("measure", file) if module == "skimage" else ("survey", job, "--photos", file)
    done = without(module, tmp_path, *words)
    assert done.returncode == 2
    assert f"wheelcad[{EXTRAS[module]}]" in done.stderr


@pytest.mark.slow
@pytest.mark.parametrize("home", ["/proc/self/nothing", "/dev/null", "", None])
def test_a_home_that_is_none_says_nothing(home: str | None, tmp_path: Path) -> None:
    """Unset, a device, not there and not to be made: libraries that keep caches there must be quiet about it."""
    environment = {word: value for word, value in os.environ.items() if word not in ("HOME", "MPLCONFIGDIR")}
    environment |= {"PYTHONPATH": str(ROOT)} | ({} if home is None else {"HOME": home})
    done = subprocess.run(
        [sys.executable, "-m", "wheelcad", "build", str(ROOT / "configs" / "tarn-six.yaml"), "--quiet"],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
