"""packet.pdf: the whole job on paper, in the order of the work. Pages are words (page.py), set by one template."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wheelcad.files.folder import scratch
from wheelcad.findings import Finding
from wheelcad.packet.page import PacketPage
from wheelcad.packet.typeset import typeset
from wheelcad.parts.common.paper import page_paper
from wheelcad.parts.design import Design
from wheelcad.words import Words

TEMPLATE = Path(__file__).with_name("book.typ")
FOOT = "Layouts, settings and sums only: local rules and licensed practice come first."


def write_packet(
    path: Path,
    design: Design,
    findings: Sequence[Finding],
    report: dict[str, Any],
    plot_svg: str = "",
    parts_png: bytes | None = None,
    traces: Mapping[str, str] = MappingProxyType({}),
) -> None:
    """Set the packet and write it; the same job gives the same bytes. Drawings are taken from beside it.

    findings and report: as measured from the other files; plot_svg: the bracket's frequencies against speed; parts_png:
    what the cover shows (`pictures.standing_picture`); traces: pictures of the signal (`signal_pages.pictures_of`).
    OSError when the file cannot be written.
    """
    from wheelcad.packet.drawings import put_drawings

    pages = list(packet_pages(design, findings, report, plot_svg, parts_png, traces))
    with scratch() as folder:
        put_drawings(design, path.parent, folder)
        for page in pages:
            _put_pictures(page.blocks, folder)
        made = typeset(TEMPLATE, _data(design, pages), folder)
    path.write_bytes(made)


def _put_pictures(blocks: Sequence[dict[str, Any]], folder: Path) -> None:
    """Write the pictures in the blocks as files for the template, which is told their names instead."""
    for block in blocks:
        if block["kind"] == "beside":
            _put_pictures(block["left"], folder)
            _put_pictures(block["right"], folder)
        elif "data" in block:
            data = block.pop("data")
            block["file"] = f"{block['name']}.{'png' if isinstance(data, bytes) else 'svg'}"
            (folder / block["file"]).write_bytes(data if isinstance(data, bytes) else data.encode("utf-8"))


def _data(design: Design, pages: Sequence[PacketPage]) -> dict[str, Any]:
    job = design.job
    said = {
        "title": job.title or job.job,
        "job": f"{job.job}: {job.title}" if job.title else job.job,
        "marks": design.marks,
        "foot": FOOT,
        "paper": "us-letter" if page_paper(job) == "Letter" else "a4",
        "pages": [{"title": page.title, "joins": page.joins, "blocks": page.blocks} for page in pages],
    }
    return Words(job.units).through(said)


def packet_pages(
    design: Design,
    findings: Sequence[Finding],
    report: dict[str, Any],
    plot_svg: str = "",
    parts_png: bytes | None = None,
    traces: Mapping[str, str] = MappingProxyType({}),
    pictured: bool = True,
) -> Iterator[PacketPage]:
    """The pages, in the order of the work; those that do not apply are left out.

    pictured: with the drawings and pictures that are made for it; without, its words alone, in a tenth of the time.
    """
    from wheelcad.packet import balance_page, cover, engine_work, hand_work, shop_work, signal_pages
    from wheelcad.packet.drawings import drawing_pages

    drawings = drawing_pages(design) if pictured else {}
    yield cover.cover(design, findings, report, parts_png)
    yield cover.things_to_have(design)
    yield cover.files(design, bool(plot_svg))
    yield shop_work.dead_centre(design)
    yield from shop_work.gauge(design, findings)
    yield from shop_work.turning(design, findings)
    yield from drawings.get("blank", [])
    yield from drawings.get("adapter", [])
    yield from drawings.get("wheel", [])
    yield from shop_work.milling(design)
    yield from hand_work.hand(design)
    yield from balance_page.gap_and_balance(design, report, findings)
    yield from shop_work.bracket(design, report, plot_svg, drawings.get("bracket", []), findings)
    yield from engine_work.fitting(design, findings)
    yield engine_work.wiring(design)
    yield engine_work.controller(design, findings)
    yield engine_work.first_start(design)
    yield from signal_pages.signal_pages(design.job, report.get("signal"), traces, findings)
    yield from signal_pages.budget_page(report.get("budget"), pictured)
    yield cover.verdicts(design, findings)
