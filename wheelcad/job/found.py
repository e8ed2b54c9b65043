"""A job file by the name a person gives: its path, or the job's name alone."""

from __future__ import annotations

from pathlib import Path

from wheelcad.errors import Fault, JobFileError, nearest

FOLDERS = (Path(), Path("configs"))
ENDINGS = (".yaml", ".yml")


def find_job(given: str | Path) -> Path:
    """The job file: as given, or with .yaml behind it, here or in configs. JobFileError that says where was looked."""
    path = Path(given)
    if path.exists() or path.suffix in ENDINGS or path.is_absolute():
        return path
    looked = [folder / f"{path}{ending}" for folder in FOLDERS for ending in ENDINGS]
    for candidate in looked:
        if candidate.is_file():
            return candidate
    there = [file.stem for folder in FOLDERS for ending in ENDINGS for file in sorted(folder.glob(f"*{ending}"))]
    close = nearest(path.name, there)
    raise JobFileError(
        Fault(
            "there is no such job file",
            file=str(given),
            found="neither it nor " + ", ".join(str(p) for p in looked if p.suffix == ENDINGS[0]),
            hint=f"did you mean {close}?" if close else "name a job file, or write one with: wheelcad new NAME",
        )
    )
