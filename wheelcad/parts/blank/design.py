"""The turned blank as numbers: the pulley as it leaves the lathe, before slots. Wheel frame, mm."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wheelcad.codes import Check
from wheelcad.errors import Faults, Key
from wheelcad.findings import PRACTICE, Finding, at_least
from wheelcad.job.models import Job, Pulley, Recess, Step
from wheelcad.parts.common.openings import Opening, bolt_openings, pulley_bore
from wheelcad.parts.common.profile import groove_floor_width, half_section, outer_points, radius_at
from wheelcad.parts.common.stack import Land, as_found_lands, form_of, turned_lands
from wheelcad.trade.loop import Loop
from wheelcad.trade.nearness import SAME_MM
from wheelcad.words import diameter, length

BESIDE = 1e-5  # mm: how far from a step two profiles are compared
SAME_RADIUS = 1e-4  # mm: radii beside a step that differ by less are the same
LEAST_WALL = 1.0  # mm between holes and surfaces, below which a wall is called thin (common practice, no source)


@dataclass(frozen=True)
class BlankDesign:
    """The turned piece. lands and found: front to back; section: half section (x is r, y is z), keyway
    and bolts left out.

    bore: with its keyway (None when the pulley has no bore); recess: radius and depth from the front face.
    """

    lands: tuple[Land, ...]
    found: tuple[Land, ...]
    section: Loop
    bore: Opening | None
    bore_radius_mm: float
    recess: tuple[float, float] | None
    bolts: tuple[Opening, ...]
    material: str
    findings: tuple[Finding, ...]

    @property
    def z_front(self) -> float:
        """Front face."""
        return self.lands[0].z_front

    @property
    def z_back(self) -> float:
        """Rear face."""
        return self.lands[-1].z_back

    @property
    def faced_off_mm(self) -> float:
        """How much is faced off the front of the piece as found."""
        return self.found[0].z_front - self.z_front if self.found else 0.0


def design_blank(job: Job) -> BlankDesign | None:
    """The blank of a job in turned-down form, else None. DesignError for what cannot be turned or collides."""
    if form_of(job) != "turned-down" or job.pulley is None:
        return None
    pulley, faults = job.pulley, Faults()
    lands, found = turned_lands(job), as_found_lands(job)
    for name, steps in (("turned", pulley.turned), ("as_found", pulley.as_found)):
        _check_grooves(name, steps, faults)
    faults.raise_if_any()
    _check_against_found(pulley, lands, found, faults)
    bore = pulley_bore(job, faults)
    bore_radius = pulley.bore / 2 if pulley.bore is not None else 0.0
    floor = job.wheel.outside_diameter / 2 - job.wheel.slot.depth  # what holes and recesses must stay inside
    hub = tuple(replace(land, radius=floor) if land.name == "ring" else land for land in lands)
    _check_hub(pulley, hub, bore_radius, faults)
    bolts = tuple(bolt_openings(job, faults))
    faults.raise_if_any()
    recess = (pulley.recess.diameter / 2, pulley.recess.depth) if pulley.recess is not None else None
    section = half_section(lands, bore_radius, recess)
    findings = tuple(_walls(pulley, lands))
    return BlankDesign(lands, found, section, bore, bore_radius, recess, bolts, job.wheel.material, findings)


def _check_grooves(name: str, steps: tuple[Step | str, ...], faults: Faults) -> None:
    for i, step in enumerate(steps):
        if not isinstance(step, Step) or step.groove is None:
            continue
        key: Key = ("pulley", name, i, "groove")
        if step.groove.width > step.length + SAME_MM:
            why = "is wider than the step it is in"
            faults.add((*key, "width"), why, found=length(step.groove.width), allowed=f"at most {length(step.length)}")
        if step.groove.depth >= step.diameter / 2:
            allowed = f"less than {length(step.diameter / 2)}"
            faults.add((*key, "depth"), "reaches the axis", found=length(step.groove.depth), allowed=allowed)
        if groove_floor_width(step.groove) < -SAME_MM:
            why = "is deeper than the sides of the groove meet"
            allowed = "a shallower or wider groove, or a smaller angle"
            faults.add((*key, "depth"), why, found=length(step.groove.depth), allowed=allowed)


def _check_against_found(pulley: Pulley, lands: tuple[Land, ...], found: tuple[Land, ...], faults: Faults) -> None:
    """The turned piece must lie inside the piece as found: the rear faces coincide."""
    if not found:
        return
    turned_length, found_length = lands[0].z_front - lands[-1].z_back, found[0].z_front - found[-1].z_back
    if turned_length > found_length + SAME_MM:
        why = "is longer than the piece as found"
        faults.add(("pulley", "turned"), why, found=length(turned_length), allowed=f"at most {length(found_length)}")
        return
    breaks = [z for _, z in (*outer_points(lands), *outer_points(found))]
    for i, land in enumerate(lands):
        beside = [z + d for z in breaks for d in (-BESIDE, BESIDE) if land.z_back < z + d < land.z_front]
        worst, at = max(((radius_at([land], z) - radius_at(found, z), z) for z in beside), default=(0.0, 0.0))
        if worst > SAME_RADIUS:
            ring = pulley.turned[i] == "wheel"
            key: Key = ("wheel", "outside_diameter") if ring else ("pulley", "turned", i, "diameter")
            limit = min(
                other.radius
                for other in found
                if other.z_back < land.z_front - SAME_MM and other.z_front > land.z_back + SAME_MM
            )
            allowed, hint = f"at most {length(2 * limit)}", ""
            if land.radius <= limit + SAME_MM:
                left, behind = 2 * radius_at(found, at), found[0].z_front - at
                allowed = f"{diameter(left)} in its groove, {length(behind)} behind its front face"
                hint = "the rear faces are one face: count the lengths of pulley.turned forward from it to the groove"
            why = "is fatter than the piece as found at that place"
            faults.add(key, why, found=length(2 * land.radius), allowed=allowed, hint=hint)


def _check_hub(pulley: Pulley, lands: tuple[Land, ...], bore_radius: float, faults: Faults) -> None:
    """Bore, keyway, recess and bolt circle inside the metal there is."""
    least = min(land.least_radius for land in lands)
    key_radius = bore_radius
    if pulley.keyway is not None:
        if pulley.bore is None:
            faults.add(("pulley", "keyway"), "needs a bore to lie in", allowed="pulley.bore given as well")
        key_radius = float((pulley.keyway.width**2 / 4 + (bore_radius + pulley.keyway.depth) ** 2) ** 0.5)
    if bore_radius >= least:
        why = "is as large as the pulley where it is thinnest"
        faults.add(("pulley", "bore"), why, found=length(2 * bore_radius), allowed=f"less than {length(2 * least)}")
    elif pulley.keyway is not None and key_radius >= least:
        why = "breaks through the pulley where it is thinnest"
        faults.add(("pulley", "keyway", "depth"), why, found=length(pulley.keyway.depth))
    if pulley.recess is not None:
        _check_recess(pulley.recess, lands, bore_radius, faults)
    if pulley.bolts is not None:
        circle, hole = pulley.bolts.circle / 2, pulley.bolts.hole / 2
        if circle + hole >= least:
            why = "puts the bolt holes outside the hub"
            allowed = f"less than {length(2 * (least - hole))}: the hub's smallest diameter is {length(2 * least)}"
            faults.add(("pulley", "bolts", "circle"), why, found=length(2 * circle), allowed=allowed)
        if circle - hole <= key_radius:
            why = "puts the bolt holes into the bore or its keyway"
            allowed = f"more than {length(2 * (key_radius + hole))}"
            faults.add(("pulley", "bolts", "circle"), why, found=length(2 * circle), allowed=allowed)


def _check_recess(recess: Recess, lands: tuple[Land, ...], bore_radius: float, faults: Faults) -> None:
    z_floor = lands[0].z_front - recess.depth
    if z_floor <= lands[-1].z_back + SAME_MM:
        why = "goes through the whole pulley"
        allowed = f"less than {length(lands[0].z_front - lands[-1].z_back)}"
        faults.add(("pulley", "recess", "depth"), why, found=length(recess.depth), allowed=allowed)
    around = min(land.least_radius for land in lands if land.z_front > z_floor)
    if recess.diameter / 2 >= around:
        why = "is as large as the pulley around it"
        allowed = f"less than {length(2 * around)}"
        faults.add(("pulley", "recess", "diameter"), why, found=length(recess.diameter), allowed=allowed)
    if recess.diameter / 2 <= bore_radius:
        why = "is no larger than the bore"
        allowed = f"more than {length(2 * bore_radius)}"
        faults.add(("pulley", "recess", "diameter"), why, found=length(recess.diameter), allowed=allowed)


def _walls(pulley: Pulley, lands: tuple[Land, ...]) -> list[Finding]:
    """Thin walls: can be made, but worth knowing before the lathe is switched on."""
    out: list[Finding] = []
    if pulley.bolts is not None:
        circle, hole = pulley.bolts.circle / 2, pulley.bolts.hole / 2
        outside = min(land.least_radius for land in lands) - circle - hole
        why = "metal left between bolt holes and the hub's thinnest place"
        out.append(at_least(Check.BOLT_WALL, "blank", outside, "mm", LEAST_WALL, why, PRACTICE, "warn"))
        if pulley.recess is not None:
            edge = abs(circle - pulley.recess.diameter / 2) - hole
            why = "bolt holes should lie wholly inside or wholly outside the recess"
            out.append(at_least(Check.BOLT_RECESS_WALL, "blank", edge, "mm", 0.0, why, PRACTICE, "warn"))
    return out
