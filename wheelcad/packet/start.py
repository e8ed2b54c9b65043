"""start.html: the page a build is opened with. Every file by who it is for, what to do first, what changed, warnings.

One file that asks nothing of a network: the assembly turns in it (start-view.js), or stands as a picture.
"""

from __future__ import annotations

import base64
import html
from collections.abc import Iterator, Sequence
from pathlib import Path
from string import Template

from wheelcad.catalogue import MANIFEST, PACKET, REPORT, START, For, sorted_by_whom
from wheelcad.changes import Changes
from wheelcad.findings import Finding, poor, tally
from wheelcad.packet.pictures import standing_picture
from wheelcad.parts.design import Design
from wheelcad.parts.marks import marks_of
from wheelcad.words import Words

HERE = Path(__file__).parent
LARGEST_GLB = 3_000_000  # bytes that the page still carries; a phone takes longer over more
ASSEMBLY = "assembly.glb"
CARDS = {
    For.LATHE: "For the lathe",
    For.MILL: "For the mill",
    For.PRINTER: "For the printer",
    For.PLASMA: "For the plasma table",
    For.ENGINE: "At the engine",
    For.LOOK: "To look at",
    For.PROGRAMS: "For programs",
}
CAUTION = (
    "Cutting, turning, welding and running an engine can maim. The packet carries the cautions to each step; local "
    "rules and licensed practice come before anything written here."
)


def write_start(
    folder: Path, design: Design, findings: Sequence[Finding], changes: Changes, picture: bytes | None = None
) -> None:
    """Write the page into a folder that holds all other files but the manifest. picture: `standing_picture`, where it
    is there already."""
    path = folder / START
    path.write_text(start_html(folder, design, findings, changes, picture), encoding="utf-8", newline="\n")


def start_html(
    folder: Path, design: Design, findings: Sequence[Finding], changes: Changes, picture: bytes | None = None
) -> str:
    """The page as text, in the job's unit; the same folder gives the same bytes. picture: as of `write_start`."""
    job = design.job
    names = ({path.name for path in folder.iterdir()} | {MANIFEST, REPORT}) - {START}
    glb = folder / ASSEMBLY
    held = glb.read_bytes() if glb.exists() and glb.stat().st_size < LARGEST_GLB else b""
    top = [
        _picture(standing_picture(folder) if picture is None else picture, bool(held)),
        _section("First of all", f"<ol>{''.join(f'<li>{line}</li>' for line in _first(design, names))}</ol>"),
        _warnings(findings, Words(job.units)),
        _changed(changes),
    ]
    body = [
        f'<div class="top">{"".join(top)}</div>',
        f'<div class="cards">{"".join(_cards(names))}</div>',
        _section("Take care", _paragraph(CAUTION)),
    ]
    fills = {
        "title": html.escape(f"{job.job}: {job.title}" if job.title else job.job),
        "marks": html.escape(marks_of(design)),
        "css": (HERE / "start.css").read_text(encoding="utf-8"),
        "js": (HERE / "start-view.js").read_text(encoding="utf-8") if held else "",
        "body": "\n".join(body) + "\n",
        "assembly": f'<script type="text/plain" id="assembly">{base64.b64encode(held).decode()}</script>\n'
        if held
        else "",
    }
    page = Template((HERE / "start.html").read_text(encoding="utf-8")).substitute(fills)
    return Words(job.units).text(page)


def _section(title: str, inside: str, kind: str = "") -> str:
    return f'<section class="{kind}"><h2>{html.escape(title)}</h2>{inside}</section>'


def _paragraph(text: str) -> str:
    return f"<p>{html.escape(text)}</p>"


def _link(name: str) -> str:
    return f'<a href="{html.escape(name)}">{html.escape(name)}</a>'


def _picture(png: bytes | None, turns: bool) -> str:
    """The parts as they stand on the engine: a picture, and the place where they turn where the page can do it."""
    if png is None:
        return ""
    source = f"data:image/png;base64,{base64.b64encode(png).decode()}"
    view = (
        '<div id="turning" hidden><canvas tabindex="0" role="img" aria-label="the parts, to be turned: drag, or the '
        'arrow keys"></canvas><p><button id="nearer" aria-label="nearer">+</button> <button id="farther" '
        'aria-label="farther">−</button> Drag to turn it, or use the arrow keys.</p></div>'
        if turns
        else ""
    )
    still = f'<img id="still" alt="the parts as they stand on the engine" src="{source}">'
    return _section("As it stands on the engine", f"<figure>{view}{still}</figure>")


def _first(design: Design, names: set[str]) -> Iterator[str]:
    """What to do, in the order of the work, each with its file."""
    if PACKET in names:
        yield f"Print {_link(PACKET)} and read its first sheets: top dead centre is found before the pulley comes off."
    if "gauge-paper.pdf" in names:
        yield f"Hold {_link('gauge-paper.pdf')}, printed at 100 %, against the pulley: holes and keyway must meet it."
    if design.blank is not None:
        yield f"Turn the blank after {_link('blank-drawing.pdf')}."
    if design.adapter is not None:
        yield f"Turn the adapter after {_link('adapter-drawing.pdf')}."
    if "wheel-flat.dxf" in names:
        yield f"Have the wheel's plate cut: {_link('wheel-flat.dxf')}."
    if "gauge.3mf" in names:
        yield f"Print the gauge, {_link('gauge.3mf')}, and lay the slots out with it."
    mill = "bench.html" if "bench.html" in names else "wheel-drawing.pdf"
    yield f"Mill the slots: {_link(mill)}."
    if "bracket-flat.dxf" in names:
        yield (
            "See in your own photographs whether bracket, wheel and sensor can be: print the tags, "
            "<code>wheelcad sheet JOB --tags</code>, photograph the engine with them, and "
            "<code>wheelcad survey JOB --photos *.jpg --drawn seen</code> draws them in."
        )
        yield f"Cut and bend the bracket: {_link('bracket-flat.dxf')}, {_link('bracket-drawing.pdf')}."
    yield "Fit the wheel, set the gap, tell the controller its number, prove it with a timing light" + (
        ": the packet's last sheets." if PACKET in names else "."
    )


def _warnings(findings: Sequence[Finding], words: Words) -> str:
    """All that failed or warned, in one place, in the words of the terminal and the packet."""
    rows = [
        f'<li><b class="{finding.verdict}">{finding.verdict}</b> {html.escape(finding.told(words))}</li>'
        for finding in poor(findings)
    ]
    inside = f"<ul>{''.join(rows)}</ul>" if rows else _paragraph("Nothing to act on.")
    return _section(tally(findings), inside, "warn" if rows else "")


def _changed(changes: Changes) -> str:
    lines = changes.lines() or ["Nothing: no build of other content stood here before."]
    inside = f"<ul>{''.join(f'<li>{html.escape(line)}</li>' for line in lines)}</ul>"
    return _section("What changed since the last build", inside)


def _cards(names: set[str]) -> Iterator[str]:
    for whom, files in sorted_by_whom(names).items():
        rows = "".join(f"<li>{_link(name)}<span>{html.escape(output.what)}</span></li>" for name, output in files)
        yield _section(CARDS[whom], f'<ul class="files">{rows}</ul>')
