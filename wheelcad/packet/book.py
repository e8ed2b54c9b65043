"""packet.pdf: the whole job on paper, in the order of the work. Pages are words (page.py), set by one template."""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from wheelcad.findings import Finding
from wheelcad.packet.page import Page
from wheelcad.parts.design import Design
from wheelcad.parts.sheets import page_paper

TEMPLATE = Path(__file__).with_name("book.typ")
FONTS = Path(__file__).parents[1] / "drawing" / "fonts"
FIXED_TIME = 0  # seconds since 1970: a date in the file would make every run differ
FOOT = "Layouts, settings and sums only: local rules and licensed practice come first."


def write_packet(
    path: Path, design: Design, findings: Sequence[Finding], report: dict[str, Any], plot_svg: str = ""
) -> None:
    """Set the packet and write it; the same job gives the same bytes.

    findings and report: as measured from the other files; plot_svg: the bracket's frequencies against speed. OSError
    when the file cannot be written.
    """
    import typst

    pages = list(packet_pages(design, findings, report, plot_svg))
    with tempfile.TemporaryDirectory(prefix="wheelcad-") as name:
        folder = Path(name)
        for page in pages:
            for block in page.blocks:
                if block["kind"] == "picture":
                    (folder / f"{block['name']}.svg").write_text(block.pop("svg"), encoding="utf-8")
        (folder / "data.json").write_text(json.dumps(_data(design, pages), ensure_ascii=False), encoding="utf-8")
        (folder / "book.typ").write_text(TEMPLATE.read_text(encoding="utf-8"), encoding="utf-8")
        made = typst.compile(
            str(folder / "book.typ"),
            root=str(folder),
            font_paths=[str(FONTS)],
            ignore_system_fonts=True,
            timestamp=FIXED_TIME,
        )
    path.write_bytes(made)


def _data(design: Design, pages: Sequence[Page]) -> dict[str, Any]:
    job = design.job
    mark = hashlib.sha256(job.source.text.encode()).hexdigest()[:10]
    return {
        "title": job.title or job.job,
        "job": f"{job.job}: {job.title}" if job.title else job.job,
        "hash": f"job {mark}",
        "foot": FOOT,
        "paper": "us-letter" if page_paper(job) == "Letter" else "a4",
        "pages": [{"title": page.title, "blocks": page.blocks} for page in pages],
    }


def packet_pages(
    design: Design, findings: Sequence[Finding], report: dict[str, Any], plot_svg: str = ""
) -> Iterator[Page]:
    """The pages, in the order of the work; those that do not apply are left out."""
    from wheelcad.packet import cover, engine_work, shop_work

    yield cover.cover(design, findings, report)
    yield cover.things_to_have(design)
    yield shop_work.dead_centre(design)
    yield from shop_work.gauge(design)
    yield from shop_work.turning(design)
    yield from shop_work.milling(design)
    yield from shop_work.gap_and_balance(design, report)
    yield from shop_work.bracket(design, report, plot_svg)
    yield from engine_work.fitting(design)
    yield engine_work.controller(design)
    yield engine_work.wiring(design)
    yield engine_work.first_start(design)
    yield cover.verdicts(design, findings)
