"""The bench page's list for paper: holes with radius, drill and depth, and their nearest hole with what it costs."""

from __future__ import annotations

import html
import math
import re
from pathlib import Path

from tests.conftest import plate_job
from tests.packet.bench_pages import HOLES
from wheelcad.packet.bench_list import lap_tables
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.wheel.design import design_wheel


def table_of(shop: str, title: str) -> list[dict[str, str]]:
    """The rows of a lap's table, by its heads."""
    job = plate_job(extra=f"shop: {{rotary_table: {{{shop}}}, cutter: {{diameter: 6}}}}\n")
    plan = design_indexing(job, design_wheel(job), HOLES)
    assert plan is not None
    found = re.search(rf'<table aria-label="{title}">(.*?)</table>', lap_tables(plan), re.S)
    assert found is not None
    heads = re.findall(r"<th[^>]*>(.*?)</th>", found[1])
    rows = [re.findall(r"<td>(.*?)</td>", row) for row in re.findall(r"<tr>(.*?)</tr>", found[1])[1:]]
    return [dict(zip(heads, (html.unescape(c) for c in cells), strict=True)) for cells in rows]


def test_holes_say_radius_drill_and_depth_in_their_row(tmp_path: Path) -> None:
    (row,) = table_of("ratio: 40, dial_step: 0.05", "Balance holes")
    assert (row["radius mm"], row["drill"], row["depth mm"]) == ("40", "6.2 mm", "through")
    assert "nearest hole" not in row
    assert "radius mm" not in table_of("ratio: 40, dial_step: 0.05", "Scratch lap")[0]


def test_the_nearest_hole_and_what_it_costs() -> None:
    """Worked out by hand: 169° from zero is 18 turns of 9° and 7°, 14 holes of 18 at 0.5° each; 169.2° would be 0.2°
    past it. The plate's steel 3.2 thick through ⌀6.2 weighs 0.758 g at 40 mm: 30.3 g·mm; times 0.2° is 0.106 g·mm."""
    from dataclasses import replace

    job = plate_job(extra="shop: {rotary_table: {ratio: 40, dial_step: 0.05, plates: [[18]]}, cutter: {diameter: 6}}\n")
    hole = replace(HOLES[0], at_deg=169.2)
    wheel = design_wheel(job)
    plan = design_indexing(job, wheel, (hole,))
    assert plan is not None
    found = re.search(r'<table aria-label="Balance holes">(.*?)</table>', lap_tables(plan), re.S)
    assert found is not None
    heads = re.findall(r"<th[^>]*>(.*?)</th>", found[1])
    cells = re.findall(r"<td>(.*?)</td>", found[1])
    row = dict(zip(heads, cells, strict=True))
    assert row["nearest hole"] == "18 and 14 holes of 18"
    assert row["off"] == "0.2°"
    grams = math.pi / 4 * 6.2**2 * wheel.thickness_mm * 7.85e-3
    assert float(row["costs"].split()[0]) == round(grams * 40 * math.radians(0.2), 1)
