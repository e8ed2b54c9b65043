"""What the balance's numbers mean, as findings of the trade computed from the design."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from wheelcad.codes import Check
from wheelcad.findings import OWN, PRACTICE, Finding, Verdict, at_least, at_most, holds
from wheelcad.job.models import Job
from wheelcad.parts.balance import runout, spread
from wheelcad.parts.balance.cautions import cautions
from wheelcad.parts.balance.correction import NOTHING_HEAVY
from wheelcad.parts.balance.margins import least_margin
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.balance.told import holes_said, reading_findings
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.spinning import drilled_findings
from wheelcad.trade.nearness import SAME_MM
from wheelcad.trade.unbalance import centrifugal_n, hole_mass_g, plane_shares, two_planes
from wheelcad.words import angle, diameter, fine, length, quantity, unbalance
from wheelcad.words import speed as rpm

ISO = "ISO 21940-11"
JUDGEMENT = "the standard names no grade for a trigger wheel: G16 as the limit and G6.3 as the aim are our judgement"
COMPONENT = "a component balance does not replace balancing the rotating assembly where the engine's maker asks for it"


def verdicts(job: Job, wheel: WheelDesign, design: BalanceDesign) -> BalanceDesign:
    """The design with its findings: what the wheel will be as cut comes first."""
    found = _spread(job, design, wheel)
    found += _limits(design)
    found += _plan(design, wheel.gap_at_deg)
    if design.planned:
        found += [_oversize(design), *_depth(design)]
    found += reading_findings(design)
    found.append(_knife_edge(design))
    if design.max_speed_rpm is not None and design.holes:
        rims = [(hole.radius_mm, hole.diameter_mm / 2) for hole in design.holes]
        found += drilled_findings(job, wheel, design.max_speed_rpm, rims)
    found += cautions(job, wheel, design)
    return replace(design, findings=tuple(found), notes=tuple(notes(design)))


def _size(vector: tuple[float, float]) -> float:
    return float(np.hypot(*vector))


def notes(design: BalanceDesign) -> Iterator[str]:
    """What a reader must know to use the figures."""
    yield f"counted: {design.initial.words}"
    yield "at_deg is the direction of the heavy side, degrees from the TDC line the way the crank turns"
    yield JUDGEMENT
    yield COMPONENT
    x, y = design.initial.empty_keyway
    if x or y:
        left = (
            "it is left out, the key being in it"
            if design.initial.against_blank
            else "it counts filled with half a key of steel"
        )
        yield (
            f"the keyway alone, empty, would be {unbalance(float(np.hypot(x, y)))}: {left} "
            "(half-key convention, ISO 21940-32)"
        )
    if design.rated.assumed:
        yield f"the limit counts the mass that turns with the plate: {design.rated.why}"
    if design.metal.rubber:
        yield "rubber ring: only the tooth ring is drilled; keep it cool, and clamp so that the rubber carries no force"


def _limits(design: BalanceDesign) -> list[Finding]:
    """Residual against the grade (the limit) and against the aim; without a speed, what would bring them."""
    after = _size(design.judged)
    drilled = design.correct_by == "holes" or bool(design.readings)
    if design.permissible_g_mm is None or design.aim_g_mm is None or design.max_speed_rpm is None:
        why = f"{unbalance(after)} is left; without engine.max_speed no grade can be turned into a limit"
        return [holds(Check.BALANCE_LIMIT, "wheel", False, "engine.max_speed would bring it", why, ISO, "warn")]
    speed = design.max_speed_rpm
    pulls = [quantity(centrifugal_n(size, speed), "force", 1) for size in (_size(design.before), after)]
    said = "by the last reading and the holes that follow from it" if design.readings else "as drawn"
    why = (
        f"left {said}; {design.grade} for {quantity(design.rated.kg * 1000, 'heavy')} at {rpm(speed)}"
        f"{_mass_said(design)}; it pulls with {pulls[0]} before and {pulls[1]} after correction; {COMPONENT}"
    )
    gravest: Verdict = "fail" if drilled else "warn"
    aim = "aim, closed form after rounding"
    return [
        at_most(Check.BALANCE_LIMIT, "wheel", after, "g·mm", design.permissible_g_mm, why, ISO, gravest),
        at_most(Check.BALANCE_AIM, "wheel", after, "g·mm", design.aim_g_mm, aim, ISO, "warn"),
    ]


def _mass_said(design: BalanceDesign) -> str:
    """Where the graded mass is from, and what the piece alone would be permitted: a second figure."""
    alone = design.permissible_alone_g_mm
    if design.rated.alone or alone is None:
        return ""
    own = quantity(design.mass_kg * 1000, "heavy")
    return f" ({design.rated.why}; the wheel's own {own} alone would be {unbalance(alone)})"


def _plan(design: BalanceDesign, zero_deg: float) -> Iterator[Finding]:
    """What is drilled, or why nothing is, and the other ways."""
    if design.planned:
        said = holes_said(design.planned)
        why = f"{design.plan}; drilled on the heavy side, in the set-up of the slots"
        if design.aim_g_mm is not None and _size(design.before) <= design.aim_g_mm:
            why += "; the wheel would pass without them"
        yield holds(Check.BALANCE_HOLES, "wheel", True, said, why, OWN)
        if any(hole.from_back for hole in design.planned):
            yield _turned_over(design, zero_deg)
    else:
        fine = design.correct_by == "none" or design.plan == NOTHING_HEAVY
        limit = design.permissible_g_mm
        kept = limit is not None and _size(design.before) <= limit
        why = design.plan
        if design.other and not (fine and kept):
            why += f"; what else would do: {'; or '.join(design.other)}"
        yield holds(Check.BALANCE_HOLES, "wheel", fine, "no holes", why, OWN, "warn" if kept or fine else "fail")
    if design.holes:
        yield _walls(design)
    if design.couple_g_mm2 > 0 and design.planned:
        yield _couple(design)


def _turned_over(design: BalanceDesign, zero_deg: float) -> Finding:
    """Where the holes of the back face lie once the work is turned over and angles run the other way."""
    backs = [hole for hole in design.holes if hole.from_back]
    said = ", ".join(angle((zero_deg - hole.at_deg) % 360.0) for hole in backs)
    why = (
        "these holes are drilled from the back: turn the work over, bring the middle of the gap to zero and count "
        "angles the other way round; these are the settings then"
    )
    return holds(Check.BALANCE_BACK_FACE, "wheel", False, said, why, OWN, "warn")


def _walls(design: BalanceDesign) -> Finding:
    """The wall that has least to spare."""
    least = least_margin(design.metal, design.holes)
    why = (
        f"to spare beside the holes; the narrowest: {length(least.mm)} to {least.what}, where {length(least.limit)} "
        "must stay"
    )
    return at_least(Check.BALANCE_WALLS, "wheel", least.spare, "mm", -SAME_MM, why, PRACTICE)


def _couple(design: BalanceDesign) -> Finding:
    """A static correction in another plane leaves a couple: unbalances in the end faces against their share."""
    metal, rho = design.metal, design.density_kg_m3
    parts = [(np.array([x, y]), z) for _, x, y, z in design.initial.parts]
    parts += [(-hole.mass_g(rho) * np.array(hole.centre(design.sense)), hole.z_mean) for hole in design.planned]
    vectors, heights = np.array([vector for vector, _ in parts]), np.array([z for _, z in parts])
    in_faces = float(np.hypot(*two_planes(vectors, heights, metal.z_front, metal.z_back).T).max())
    ends = length(metal.length)
    why = f"the holes lie off the teeth's plane and leave a couple; as unbalances in the end faces, {ends} apart"
    if design.aim_g_mm is None:
        return Finding(Check.BALANCE_COUPLE, "wheel", in_faces, "g·mm", "no speed given", "pass", why, ISO)
    share = plane_shares(design.aim_g_mm, metal.disc)[0]
    if metal.disc:
        why += "; a disc is balanced in one plane, so this is only told"
        return Finding(Check.BALANCE_COUPLE, "wheel", in_faces, "g·mm", share, "pass", why, ISO)
    why += "; balance.faces: both allows holes in two planes"
    return at_most(Check.BALANCE_COUPLE, "wheel", in_faces, "g·mm", share, why, ISO, "warn")


def _oversize(design: BalanceDesign) -> Finding:
    """What it does when all holes come out larger."""
    rho = design.density_kg_m3
    more = _more(
        design, [hole_mass_g(h.diameter_mm + spread.OVERSIZE_MM, h.depth_mm, rho, h.point_deg) for h in design.planned]
    )
    why = f"residual when every hole comes out {fine(spread.OVERSIZE_MM)} too large"
    return _against(design, Check.BALANCE_DRILL_OVERSIZE, more, why)


def _depth(design: BalanceDesign) -> list[Finding]:
    """What an error of depth does to blind holes."""
    if all(hole.through for hole in design.planned):
        return []
    rho = design.density_kg_m3
    worst = 0.0
    for off in (-spread.DEPTH_MM, spread.DEPTH_MM):
        masses = [
            hole_mass_g(h.diameter_mm, h.depth_mm + (0.0 if h.through else off), rho, h.point_deg)
            for h in design.planned
        ]
        worst = max(worst, _more(design, masses))
    why = f"residual when every blind hole is {fine(spread.DEPTH_MM)} too deep or too shallow"
    return [_against(design, Check.BALANCE_DEPTH, worst, why)]


def _more(design: BalanceDesign, masses: list[float]) -> float:
    """Residual (g·mm) with the holes taking out these masses (g) instead."""
    left = np.array(design.before)
    for hole, mass in zip(design.planned, masses, strict=True):
        left = left - mass * np.array(hole.centre(design.sense))
    return float(np.hypot(*left))


def _against(design: BalanceDesign, check: Check, value: float, why: str) -> Finding:
    if design.permissible_g_mm is None:
        return Finding(check, "wheel", value, "g·mm", "no speed given", "pass", why, OWN)
    return at_most(check, "wheel", value, "g·mm", design.permissible_g_mm, why, OWN, "warn")


def _spread(job: Job, design: BalanceDesign, wheel: WheelDesign) -> list[Finding]:
    """The 95 % figures."""
    errors = design.spread
    why = (
        f"95 % of {spread.DRAWS} draws stay below: holes ±{fine(spread.PLACE_MM)} off in x and y, the drill up to "
        f"{fine(spread.OVERSIZE_MM)} over size in all of them, blind depths ±{fine(spread.DEPTH_MM)}, metal "
        f"±{spread.LOCAL_DENSITY:.0%}"
    )
    if design.readings:
        why += (
            f"; the reading itself up to {unbalance(design.readings[-1].edges.felt_g_mm)} off, which edges cannot show"
        )
    out = [_against(design, Check.BALANCE_95, errors.drilling, why)]
    off = f"up to {fine(errors.offset_mm)} off the axis, an indicator reading of {fine(2 * errors.offset_mm)}"
    why = f"the wheel as it will be cut: the same with the turned surfaces {off}"
    if wheel.form == "plate":
        held_by = runout.plate_offset_mm(job)[1]
        why = (
            f"the wheel as it will be cut and bolted on: the same with the plate {off}, held by {held_by}: a close "
            "pilot or two dowels centre it better"
        )
    elif design.readings:
        why = "the wheel as it was read and will be drilled: what was turned off centre is in the reading"
    return [_against(design, Check.BALANCE_95_OFF_CENTRE, errors.seated, why), *out]


def _knife_edge(design: BalanceDesign) -> Finding:
    """The smallest unbalance that shows on two level straight edges."""
    edges, source = design.edges, "rolling resistance"
    why = (
        f"smallest unbalance seen on level straight edges, on a hard arbour of {diameter(edges.arbour_mm)} (a model); "
        "enough when it is below what is permitted"
    )
    if design.permissible_g_mm is None:
        return Finding(Check.KNIFE_EDGE, "wheel", edges.felt_g_mm, "g·mm", "no speed given", "pass", why, source)
    limit = design.permissible_g_mm
    return at_most(Check.KNIFE_EDGE, "wheel", edges.felt_g_mm, "g·mm", limit, why, source, "note")
