"""Builds the documentation: `python -m wheelcad.docs.build FOLDER` (needs the extra `docs`: pip install '.[docs]').

The pages in `pages/` are Markdown by hand; a line `{{ name }}` in them stands for what is made from the models: the job
file's reference, the list of files, the measuring pictures, the sources, the fault table. What comes out needs no
network and no server: open index.html.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from wheelcad.catalogue import files_markdown
from wheelcad.checks.smallest import smallest_markdown
from wheelcad.errors import BuildError, Fault
from wheelcad.job.explain import explained
from wheelcad.job.measuring import MEASURES, PICTURES, plain
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.job.reference import reference_markdown
from wheelcad.job.starter import starter_text
from wheelcad.measure.how import EVERY
from wheelcad.packet.measuring_pictures import pictures
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.signal.faults import SAFE, fault_table
from wheelcad.trade.assumed import ASSUMED
from wheelcad.trade.sources import SOURCES

PAGES = Path(__file__).with_name("pages")
NAV = (
    ("index.md", "Begin here"),
    ("measuring.md", "Measuring"),
    ("page.md", "In a browser"),
    ("worked.md", "Worked jobs"),
    ("fitting.md", "Fitting and first start"),
    ("trouble.md", "What you see, what it is"),
    ("job-file.md", "The job file"),
    ("numbers.md", "Where the numbers come from"),
    ("checks.md", "What is checked"),
    ("python.md", "From Python"),
)


def made() -> Mapping[str, Callable[[], str]]:
    """What `{{ name }}` stands for."""
    return {
        "reference": reference_markdown,
        "files": files_markdown,
        "pictures": _pictures,
        "scanning": _scanning,
        "sources": _sources,
        "assumed": _assumed,
        "faults": _faults,
        "smallest": smallest_markdown,
    }


def _scanning() -> str:
    """How a wheel is scanned, traced or heard, with its cautions."""
    return "\n".join(f"- {line}" for line in EVERY)


def _pictures() -> str:
    """The lettered pictures, and below each its letters: key, question, how."""
    blocks = []
    for letter, title in PICTURES.items():
        rows = [m for m in MEASURES if m.label[:1] == letter]
        lines = [f"## {letter}: {title}", "", f"![{title}]({letter}.svg)", ""]
        lines += ["| letter | key | what | how |", "| --- | --- | --- | --- |"]
        for m in rows:
            what = dict(explained(plain(m.key)))["what"]
            lines.append(f"| {m.label} | `{plain(m.key)}` | {_cell(what)} | {_cell(m.how)} |")
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks)


def _sources() -> str:
    lines = ["| name | work | by | where in it | how we know it | held by |", "| --- | --- | --- | --- | --- | --- |"]
    for s in SOURCES:
        year = f", {s.year}" if s.year else ""
        work = f"{_cell(s.title)}{year} ({', '.join(s.cited)})"
        held = ", ".join(f"`{one}`" for one in s.proved_by) or "-"
        lines.append(f"| `{s.id}` | {work} | {_cell(s.by)} | {_cell(s.place)} | {s.seen} | {held} |")
    return "\n".join(lines)


def _assumed() -> str:
    lines = ["| key | taken | source |", "| --- | --- | --- |"]
    units = {"speed": " rpm", "angle": " deg", "time": " ms", "length": " mm", "frequency": " Hz"}
    for key, one in ASSUMED.items():
        value = f"{one.value:.6g}{units.get(one.kind, '')}" if isinstance(one.value, float) else one.value
        lines.append(f"| `{key}` | {value} | {_cell(one.source)} |")
    return "\n".join(lines)


def _faults() -> str:
    blocks = [SAFE]
    for sensor, title in (("hall", "With a Hall sensor"), ("reluctance", "With a magnetic pickup")):
        lines = [f"### {title}", "", "| seen | likely | do |", "| --- | --- | --- |"]
        lines += [f"| {_cell(f.seen)} | {_cell(f.likely)} | {_cell(f.do)} |" for f in fault_table(_starter(sensor))]
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks)


def _starter(sensor: str = "hall", form: str = "turned-down", given: Mapping[str, str] | None = None) -> Job:
    return parse_job(starter_text(sensor=sensor, form=form, given=given), "starter")


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


def write_pages(folder: Path) -> None:
    """The Markdown with everything made put in, and the pictures beside it."""
    for name, _ in NAV:
        text = (PAGES / name).read_text(encoding="utf-8")
        for word, make in made().items():
            if f"{{{{ {word} }}}}" in text:
                text = text.replace(f"{{{{ {word} }}}}", make())
        (folder / name).write_text(text, encoding="utf-8")
    recess = {"pulley.recess.diameter": "60", "pulley.recess.depth": "8"}
    for job in (_starter(given=recess), _starter(form="plate")):
        for letter, sketch in pictures(job, design_wheel(job)).items():
            if letter != "A" or job.wheel.form == "turned-down":
                (folder / f"{letter}.svg").write_text(sketch.svg(), encoding="utf-8")
    for picture in (Path(__file__).parents[1] / "packet" / "shown").glob("*.png"):
        shutil.copy(picture, folder / picture.name)


def build_docs(out: Path) -> None:
    """Build into `out`, which is replaced. BuildError with the first warning: a page is whole or is not made."""
    from mkdocs.commands.build import build
    from mkdocs.config import load_config
    from mkdocs.exceptions import Abort, MkDocsException

    with tempfile.TemporaryDirectory(prefix="wheelcad-docs-") as name:
        source = Path(name) / "pages"
        source.mkdir()
        write_pages(source)
        (Path(name) / "mkdocs.yml").write_text("site_name: wheelcad\n", encoding="utf-8")
        config = load_config(
            str(Path(name) / "mkdocs.yml"),
            docs_dir=str(source),
            site_dir=str(out.resolve()),
            theme={"name": "mkdocs", "highlightjs": False, "locale": "en"},
            plugins=[],
            markdown_extensions=["tables", "fenced_code", "toc"],
            nav=[{title: file} for file, title in NAV],
            use_directory_urls=False,
            strict=True,
        )
        try:
            build(config)
        except (Abort, MkDocsException) as error:
            raise BuildError(Fault(f"the documentation is not whole: {error}", file=str(PAGES))) from None


if __name__ == "__main__":
    build_docs(Path(sys.argv[1] if len(sys.argv) > 1 else "docs-built"))
