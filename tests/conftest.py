"""Jobs that many tests share, read from the demo files or made here."""

from __future__ import annotations

import locale
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from wheelcad.build import BuildResult, build_job
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job, parse_job

settings.register_profile("tests", deadline=None)  # no test is timed: a loaded machine is slow
settings.load_profile("tests")

ROOT = Path(__file__).resolve().parents[1]
DEMOS = ("tarn-six", "fell-twin", "beck-four")


@pytest.fixture(params=DEMOS)
def demo(request: pytest.FixtureRequest) -> Job:
    """Each demo job in turn."""
    return load_job(ROOT / "configs" / f"{request.param}.yaml")


@pytest.fixture
def six() -> Job:
    """The inline six: 36-1 turned into its own pulley."""
    return load_job(ROOT / "configs" / "tarn-six.yaml")


def edited(text: str, *changes: tuple[str, str]) -> str:
    """The text with every (old, new) replaced; each old must be there."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def demo_text(name: str) -> str:
    """The text of a demo job."""
    return (ROOT / "configs" / f"{name}.yaml").read_text(encoding="utf-8")


def plate_job(
    teeth: int = 36,
    missing: int = 1,
    diameter: float = 160.0,
    *,
    gap_at: float = 0.0,
    turns: str = "clockwise",
    slot: str = "{width: 6, depth: 6.35, sides: parallel, floor: round}",
    extra: str = "",
) -> Job:
    """A plain plate wheel with a bore."""
    return parse_job(
        f"job: plate\nengine: {{turns: {turns}, max_speed: 6000}}\n"
        f"wheel: {{form: plate, teeth: {teeth}, missing: {missing}, gap_at: {gap_at}, outside_diameter: {diameter},"
        f" thickness: 3.2, bore: {diameter / 4}, slot: {slot}}}\n{extra}",
        "plate.yaml",
    )


@pytest.fixture(scope="session", params=DEMOS)
def built(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> BuildResult:
    """Each demo job, built once for the whole run, without finite elements. Tests must not change its folder."""
    return _built(request.param, tmp_path_factory)


@pytest.fixture(scope="session")
def built_six(tmp_path_factory: pytest.TempPathFactory) -> BuildResult:
    """The inline six, built once for the whole run, without finite elements. Tests must not change its folder."""
    return _built("tarn-six", tmp_path_factory)


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], BuildResult]:
    """A demo job by its name, likewise."""
    return lambda name: _built(name, tmp_path_factory)


_RESULTS: dict[str, BuildResult] = {}


def _built(name: str, factory: pytest.TempPathFactory) -> BuildResult:
    if name not in _RESULTS:
        _RESULTS[name] = build_job(ROOT / "configs" / f"{name}.yaml", factory.mktemp("outputs"), fem=False)
    return _RESULTS[name]


@pytest.fixture(autouse=True)
def _own_locale() -> None:
    """The environment's character set before each test: the mesher sets the C locale, and what programs say would then
    be read as ASCII."""
    locale.setlocale(locale.LC_CTYPE, "")
