"""What a script imports: documented, typed, there under its name; sweeps that take what a job file takes."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import wheelcad
from tests.conftest import ROOT, demo_text
from wheelcad import budget_of, design_job, design_wheel, load_job, measure, signal_of, sweep
from wheelcad.errors import DesignError, JobError, JobValueError
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.job.vary import with_value


@pytest.mark.parametrize("name", wheelcad.__all__)
def test_every_name_is_a_documented_and_typed_function(name: str) -> None:
    function = getattr(wheelcad, name)
    function = function if inspect.isfunction(function) else function.__call__
    signature = inspect.signature(function)
    assert f"{name}(" in str(wheelcad.__doc__)
    assert len(str(function.__doc__)) > 80
    assert signature.return_annotation is not inspect.Signature.empty
    assert all(one.annotation is not inspect.Signature.empty for one in signature.parameters.values())


def test_importing_it_loads_nothing_and_measure_is_called_whatever_was_loaded_before() -> None:
    code = (
        "import sys, wheelcad\n"
        "assert not {m for m in sys.modules if m.split('.')[0] in ('numpy', 'pydantic', 'cadquery')}\n"
        "import wheelcad.measure.command\n"
        "from wheelcad import measure\n"
        "try: measure('none.stl')\n"
        "except wheelcad.measure.command.JobFileError as error: print(error)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert "none.stl" in done.stdout, done.stderr


def test_measure_takes_the_commands_options_and_no_others(tmp_path: Path) -> None:
    file = tmp_path / "angles.csv"
    file.write_text("slot_deg\n" + "\n".join(str(30 * cut + (0.4 if cut > 4 else 0)) for cut in range(12)))
    found = measure(str(file), pattern="12-1")
    assert (found.mechanism.name, tuple(found.mechanism.where)) == ("slip", (6,))
    assert found.as_json()["pattern"] == {"teeth": 12, "missing": 1}
    with pytest.raises(JobValueError, match="nearest is pattern"):
        measure(file, patern="12-1")
    with pytest.raises(JobValueError, match="a file"):
        measure()


def test_a_job_without_a_sensor_has_no_signal_and_says_where() -> None:
    job = parse_job("job: x\nwheel: {teeth: 36, missing: 1, outside_diameter: 160, thickness: 4, bore: 40, "
                    "slot: {width: 6, depth: 6}}\n", "x.yaml")  # fmt: skip
    for function in (signal_of, budget_of):
        with pytest.raises(DesignError, match=r"x\.yaml.*sensor"):
            function(job)


def test_a_sweep_is_the_designs_of_jobs_that_say_so(six: Job) -> None:
    """Held against job files whose text has the value."""
    values = np.array([4.5, 5.0, 6.0, 30.0])
    for one in sweep(six, "wheel.slot.width", values, design_wheel):
        text = demo_text("tarn-six").replace("slot: {width: 6,", f"slot: {{width: {one.value},")
        assert isinstance(one.value, float)
        if one.made is not None:
            assert one.made.tooth_top_mm == design_wheel(parse_job(text)).tooth_top_mm
            continue
        assert one.value == 30.0
        with pytest.raises(JobError) as caught:
            design_wheel(parse_job(text))
        assert [f.dotted for f in one.faults] == [f.dotted for f in caught.value.faults]


@pytest.mark.slow
def test_ten_thousand_designs_of_one_key_need_no_more_memory_than_a_few() -> None:
    """In a process of its own: widest slots have no tooth left, which is told and ends nothing."""
    code = (
        "import numpy as np, psutil, wheelcad\n"
        "job = wheelcad.load_job('configs/tarn-six.yaml')\n"
        "made, held = [], []\n"
        "for one in wheelcad.sweep(job, 'wheel.slot.width', np.linspace(6.0, 14.0, 10_000), wheelcad.design_wheel):\n"
        "    made.append(one.made is not None)\n"
        "    held.append(psutil.Process().memory_info().rss if len(made) % 500 == 0 else 0)\n"
        "print(len(made), sum(made), max(held) / held[499])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    count, made, grown = done.stdout.split()
    assert int(count) == 10_000
    assert 5_000 < int(made) < 10_000
    assert float(grown) < 1.05


@pytest.mark.parametrize(
    ("key", "value", "there"),
    [
        ("bracket.mounts[1].y", 151.0, lambda job: job.bracket.mounts[1].y),
        ("bracket.mount_face", -31.0, lambda job: job.bracket.face),
        ("wheel.missing", 2, lambda job: job.wheel.missing),
        ("engine.max_speed", "5000 rpm", lambda job: f"{job.engine.max_speed:g} rpm"),
        ("sensor.bolt.offset", 23.5, lambda job: job.sensor.bolt.offset),
    ],
)
def test_any_key_can_be_changed(six: Job, key: str, value: object, there: object) -> None:
    changed = with_value(six, key, value)
    assert there(changed) == value  # type: ignore[operator]
    assert there(six) != value  # type: ignore[operator]
    assert design_job(changed).job.job == "tarn-six"


def test_a_bare_number_is_millimetres_in_a_job_in_inches() -> None:
    job = load_job(ROOT / "configs" / "fell-twin.yaml")
    assert job.units == "in"
    assert with_value(job, "wheel.outside_diameter", 140.0).wheel.outside_diameter == 140.0
    assert with_value(job, "wheel.outside_diameter", "5 1/2 in").wheel.outside_diameter == pytest.approx(139.7)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("wheel.slot.widht", 6, "nearest is width"),
        ("bracket.mounts[9].x", 6, "not in this job"),
        ("wheel slot", 6, "no key"),
        ("wheel.slot.width", "wide", "should be a length"),
        ("wheel.material", "wood", "grey-iron"),
        ("wheel.teeth", 2, "out of range"),
        ("controller.ratio", 2, "not in this job"),
    ],
)
def test_what_no_job_file_could_say_is_refused(six: Job, key: str, value: object, said: str) -> None:
    with pytest.raises(JobValueError, match=said):
        with_value(six, key, value)


def test_a_key_that_is_not_there_ends_a_sweep_at_once(six: Job) -> None:
    with pytest.raises(JobValueError, match="nearest is width"):
        next(sweep(six, "wheel.slot.widht", [1.0], design_wheel))
