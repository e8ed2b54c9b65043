"""The drawing of the turned blank: half section for the lathe over the piece as found, and a front view.

Seen with the crank axis level and the front face at the right, as the piece stands in a lathe whose chuck holds its
rear: x is z, y is the radius. Sizes that the lathe does not make are given in brackets.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelcad import words
from wheelcad.drawing.dimension_text import degrees, length
from wheelcad.drawing.model import (
    Angular,
    CentreLine,
    CentreMark,
    Circle,
    Entity,
    Linear,
    Note,
    Outline,
    Path,
    Sheet,
    Side,
    Tolerance,
    Units,
    View,
)
from wheelcad.drawing.symbols import polar
from wheelcad.job.models import Bolts, Groove, Job
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.blank.found import found_paths, is_turned
from wheelcad.parts.common.openings import rounds
from wheelcad.parts.common.profile import groove_floor_width
from wheelcad.parts.common.sheets import (
    SECTION,
    bolt_circle,
    drawing_units,
    part_sheet,
    reference_marks,
    section_marks,
    title_block,
)
from wheelcad.parts.common.stack import Land
from wheelcad.parts.common.turned import bolt_in_section, keyed_section, lower_half, upper_half
from wheelcad.trade.layers import DOUBLE_CHAIN
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material
from wheelcad.trade.nearness import SAME_MM


def blank_sheet(job: Job, design: BlankDesign, allowed: float | None, allowed_by: str) -> Sheet:
    """The blank's drawing. allowed: what an indicator may read on the turned surfaces, mm; allowed_by: what says so."""
    mass = blank_mass_kg(design)
    title = title_block(job, "Turned blank for trigger wheel", "blank", design.material, mass, only_new=True)
    views = (_front(design, job), _section(job, design, allowed))
    notes, cautions = _notes(design, allowed, allowed_by), _cautions(job)
    across = 2 * max(land.radius for land in (*design.lands, *design.found))
    return part_sheet(job, "blank", title, views, notes, cautions, across_mm=across)


def blank_mass_kg(design: BlankDesign) -> float:
    """Mass of the turned blank, bolt holes and keyway taken out; closed form (Pappus)."""
    _, moment, _, _ = design.section.moments()
    volume = 2 * math.pi * abs(moment)
    round_bore = math.pi * design.bore_radius_mm**2
    z_top = design.z_front - (design.recess[1] if design.recess else 0.0)
    if design.bore is not None:
        volume -= (abs(design.bore.loop.area) - round_bore) * (z_top - design.z_back)
    for x, y, r in rounds(design.bolts):
        inside = design.recess is not None and math.hypot(x, y) < design.recess[0]
        top = z_top if inside else design.z_front
        volume -= math.pi * r**2 * (top - design.z_back)
    return volume * material(design.material).density_g_mm3 / 1000.0


def _section(job: Job, design: BlankDesign, allowed: float | None) -> View:
    keyway = job.pulley.keyway if job.pulley is not None and design.bore is not None else None
    section, edge = keyed_section(design.section, design.bore_radius_mm, keyway)
    entities: list[Entity] = [*upper_half(section, _bolt_in_section(design)), *edge]
    entities += lower_half(design.lands)
    entities.append(CentreLine((design.z_back, 0.0), (design.z_front, 0.0)))
    entities += [Path(p, "HIDDEN", DOUBLE_CHAIN) for p in found_paths(design)]
    entities += _diameters(design)
    entities += _lengths(design)
    ring = next(land for land in design.lands if land.name == "ring")
    rim = (ring.z_back + ring.z_front) / 2, ring.radius
    if design.bore_radius_mm > 0 and allowed is not None:
        entities.append(Tolerance(rim, "run-out", allowed, ("A",), toward_deg=60, or_tip=(rim[0], -rim[1])))
    return View("section", tuple(entities), caption=SECTION, cell=(1, 0))


def _bolt_in_section(design: BlankDesign) -> Loop | None:
    """A bolt hole turned into the plane of the section; None without bolts, or where it runs into the recess's wall."""
    if not design.bolts or design.bolts[0].round is None:
        return None
    x, y, r = design.bolts[0].round
    circle = math.hypot(x, y)
    z_top = design.z_front
    if design.recess is not None:
        radius, depth = design.recess
        if circle - r < radius < circle + r:
            return None
        z_top -= depth if circle < radius else 0.0
    return bolt_in_section(design.bolts[0].round, design.z_back, z_top)


def _diameters(design: BlankDesign) -> Iterator[Entity]:
    """Every diameter once, on the side from which it is seen with the least in the way."""
    wanted: dict[float, list[tuple[Side, float, bool, int]]] = {}
    for i, land in enumerate(design.lands):
        side, z, hidden = _seen_from(design.lands, i)
        wanted.setdefault(round(land.radius, 6), []).append((side, z, not is_turned(land, design.found), hidden))
        if land.groove is not None:
            middle, floor = (land.z_front + land.z_back) / 2, groove_floor_width(land.groove)
            deep = round(land.radius - land.groove.depth, 6)
            edge = middle + (floor / 2 if side == "right" else -floor / 2)
            wanted.setdefault(deep, []).append((side, edge, not is_turned(land, design.found), 9))
    for radius, places in wanted.items():
        side, z, known, _ = min(places, key=lambda p: p[3])
        count = sum(1 for p in places if p[2] == known)
        yield Linear((z, -radius), (z, radius), side, prefix="⌀", count=count, reference=known)
    for i, land in enumerate(design.found):
        if round(land.radius, 6) not in wanted:
            side, z, _ = _seen_from(design.found, i)
            yield Linear((z, -land.radius), (z, land.radius), side, prefix="⌀", reference=True, suffix="as found")
    if design.recess is not None:
        r = design.recess[0]
        yield Linear((design.z_front, -r), (design.z_front, r), "right", prefix="⌀", reference=True)
    if design.bore_radius_mm > 0:
        r, z = design.bore_radius_mm, design.z_back
        yield Linear((z, -r), (z, r), "left", prefix="⌀", datum="A", reference=True)


def _seen_from(lands: tuple[Land, ...], i: int) -> tuple[Side, float, int]:
    """Side for a land's diameter, where its extension lines start, and how many fatter lands stand in their way."""
    radius = lands[i].radius
    ahead = sum(1 for land in lands[:i] if land.radius > radius + SAME_MM)
    behind = sum(1 for land in lands[i + 1 :] if land.radius > radius + SAME_MM)
    if ahead <= behind:
        return "right", lands[i].z_front, ahead
    return "left", lands[i].z_back, behind


def _lengths(design: BlankDesign) -> Iterator[Entity]:
    """Lengths from the front face, which is faced first; the ring's own thickness; grooves from below."""
    front = design.z_front
    top = design.lands[0].radius
    whole_known = bool(design.found) and design.faced_off_mm < SAME_MM
    for i, land in enumerate(design.lands):
        last = i == len(design.lands) - 1
        above = max(land.radius, 0.0 if last else design.lands[i + 1].radius)
        if land.name == "ring" and (not last or len(design.lands) == 1):
            yield Linear((land.z_back, land.radius), (land.z_front, land.radius), "above")
        if last:
            yield Linear((land.z_back, land.radius), (front, top), "above", reference=whole_known)
        elif land.name != "ring":
            known = whole_known and not is_turned(land, design.found) and i == 0
            yield Linear((land.z_back, above), (front, top), "above", reference=known)
        if land.groove is not None:
            yield from _groove(land, land.groove, not is_turned(land, design.found))
    if design.recess is not None:
        radius, depth = design.recess
        yield Linear((front - depth, radius), (front, radius), "above", reference=True)
    if design.found and design.faced_off_mm > SAME_MM:
        found = design.found[0]
        yield Linear((front, top), (found.z_front, found.radius), "above", suffix="faced off")


def _groove(land: Land, groove: Groove, known: bool) -> Iterator[Entity]:
    middle = (land.z_front + land.z_back) / 2
    half = groove.width / 2
    yield Linear((middle - half, -land.radius), (middle + half, -land.radius), "below", reference=known)
    yield Linear((land.z_back, -land.radius), (middle - half, -land.radius), "below", reference=known)
    if groove.angle > 0:
        lean = groove.angle / 2
        to_apex = half / math.tan(math.radians(lean))  # from the outside down to where the sides would meet
        yield Angular(
            middle,
            to_apex - land.radius,
            to_apex / math.cos(math.radians(lean)),
            270 - lean,
            270 + lean,
            reference=known,
        )


def _front(design: BlankDesign, job: Job) -> View:
    """From the front: what is already in the piece, and the TDC line it is measured from."""
    sense = job.sense
    radii = sorted({round(land.radius, 6) for land in design.lands})
    largest = radii[-1]
    seen = [r for r in radii if _visible(design.lands, r)]
    entities: list[Entity] = [Circle(0.0, 0.0, r) for r in seen]
    if design.recess is not None:
        entities.append(Circle(0.0, 0.0, design.recess[0]))
    if design.bore is not None:
        entities.append(Outline(design.bore.loop, "HOLES"))
    entities.append(CentreMark(0.0, 0.0, largest))
    pulley = job.pulley
    if pulley is not None and pulley.bolts is not None and design.bolts:
        entities += _bolts(design, pulley.bolts, drawing_units(job))
    if pulley is not None and pulley.keyway is not None and design.bore is not None:
        key = pulley.keyway
        angle = 90.0 - sense * key.at
        where = "on the TDC line" if key.at % 360 == 0 else f"at {degrees(key.at)} from the TDC line"
        size = " × ".join(length(side, drawing_units(job)) for side in (key.width, key.depth))
        tip = polar((0.0, 0.0), design.bore_radius_mm + key.depth, angle)
        entities.append(Note(tip, f"keyway {size}, {where}", angle - 40))
    entities += reference_marks(largest, sense, "TDC line: mark before dismantling")
    entities.append(section_marks(largest))
    return View("front", tuple(entities), cell=(0, 0))


def _visible(lands: tuple[Land, ...], radius: float) -> bool:
    """True when a circle of this radius is seen from the front: nothing fatter stands before it."""
    for land in lands:
        if abs(land.radius - radius) < SAME_MM:
            return True
        if land.radius > radius:
            return False
    return False


def _bolts(design: BlankDesign, bolts: Bolts, units: Units) -> list[Entity]:
    first = bolts.first_at % (360.0 / bolts.count)
    below = f"equally spaced on ⌀{length(bolts.circle, units)}\nfirst at {degrees(first)} from the TDC line"
    return bolt_circle(rounds(design.bolts), bolts.circle, below, toward_deg=135.0, holes=True, reference=True)


def _notes(design: BlankDesign, allowed: float | None, allowed_by: str) -> tuple[str, ...]:
    lines = [
        "Sizes in brackets are in the piece already and are for checking only. Double-dashed chain lines: as found.",
        "Before the pulley comes off, find top dead centre of cylinder 1 with a piston stop, mark it on the piece, and "
        "measure keyway and bolt angles from that mark. Turning may take off the maker's own mark.",
        "Hold by the rear, indicate the bore, and turn all new surfaces and the front face in one chucking.",
        "Keep the TDC line on the face, from hub to shoulder, until the wheel has its own mark.",
    ]
    if allowed is not None:
        said = (
            f"The indicator may read {words.fine(allowed)} on any new surface while the piece turns about its bore "
            f"({allowed_by}); turned off-centre, all the metal inside a surface weighs to one side."
        )
        lines.insert(3, said)
    if design.found:
        lines.append(
            "Where much of the rim is turned off, the maker's balance drillings may go with it: "
            "have the piece checked for static balance after turning."
        )
    return tuple(lines)


def _cautions(job: Job) -> tuple[str, ...]:
    lines = [
        "Spinning metal: chuck key out, guard down, eyes protected, no loose clothing. Cast iron chips are dusty.",
        "On a long crankshaft the pulley's mass takes part in damping twist: ask the engine's maker before turning "
        "mass off. Follow local codes; leave what you are not trained for to a licensed shop.",
    ]
    if job.pulley is not None and job.pulley.rubber_ring:
        lines.insert(1, "A bonded rubber ring must not be cut, heated or clamped across; it is a damper, not a blank.")
    return tuple(lines)
