"""The drawing of the adapter: half section for the lathe, and the bolt circle from the front."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelcad import words
from wheelcad.drawing.dimension_text import degrees, length
from wheelcad.drawing.model import (
    CentreLine,
    CentreMark,
    Circle,
    Datum,
    Entity,
    Linear,
    Sheet,
    Tolerance,
    View,
)
from wheelcad.job.models import Job
from wheelcad.parts.adapter.design import AdapterDesign
from wheelcad.parts.common.openings import rounds
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
from wheelcad.parts.common.turned import bolt_in_section, lower_half, upper_half
from wheelcad.trade.materials import material

PILOT_BELOW_MM = 0.02  # below the job's diameter, which has the clearance in it already (common practice, no source)
FACES_MM = 0.03  # how far the two faces may be from parallel: a tilted ring wobbles (common practice, no source)
RUN_OUT_MM = 0.03  # of the pilot to the bore (common practice, no source)
CAUTIONS = (
    "Spinning metal: chuck key out, guard down, eyes protected, no loose clothing.",
    "Follow local codes; leave engine work you are not trained for to a licensed shop.",
)


def adapter_sheet(job: Job, design: AdapterDesign) -> Sheet:
    """The adapter's drawing."""
    _, moment, _, _ = design.section.moments()
    holes = sum(abs(o.loop.area) for o in design.bolts) * design.lands[-1].length
    mass = (2 * math.pi * abs(moment) - holes) * material(design.material).density_g_mm3 / 1000
    title = title_block(job, "Adapter", "adapter", design.material, mass)
    views = (_front(job, design), _section(design))
    across = 2 * max(land.radius for land in design.lands)
    return part_sheet(job, "adapter", title, views, tuple(_notes(design)), CAUTIONS, across_mm=across, width=120)


def _section(design: AdapterDesign) -> View:
    front, back = design.lands[0].z_front, design.lands[-1].z_back
    spacer, pilot = design.lands[-1], design.lands[0] if len(design.lands) > 1 else None
    bolt = design.bolts[0].round if design.bolts else None
    hole = bolt_in_section(bolt, spacer.z_back, spacer.z_front) if bolt is not None else None
    r, bore = spacer.radius, design.bore_radius_mm
    inner = pilot.radius if pilot is not None else bore
    entities: list[Entity] = [
        *upper_half(design.section, hole),
        *lower_half(design.lands),
        CentreLine((back, 0.0), (front, 0.0)),
        Linear((back, -r), (back, r), "left", prefix="⌀"),
        Linear((spacer.z_back, r), (spacer.z_front, r), "above"),
        Datum((back, -(bore + 2 * r) / 3), "B", 180.0),
        Tolerance((spacer.z_front, -(inner + 2 * r) / 3), "parallel", FACES_MM, ("B",), -30.0),
    ]
    if bore > 0:
        entities.append(Linear((back, -bore), (back, bore), "left", prefix="⌀", datum="A"))
    if pilot is not None:
        entities += _pilot(pilot, front, bore)
    return View("section", tuple(entities), caption=SECTION, cell=(1, 0))


def _pilot(pilot: Land, front: float, bore: float) -> Iterator[Entity]:
    p, middle = pilot.radius, (pilot.z_back + pilot.z_front) / 2
    yield Linear((front, -p), (front, p), "right", prefix="⌀", upper=0.0, lower=-PILOT_BELOW_MM)
    yield Linear((pilot.z_back, p), (pilot.z_front, p), "above")
    if bore > 0:
        yield Tolerance((middle, p), "run-out", RUN_OUT_MM, ("A",), 60.0, or_tip=(middle, -p))


def _front(job: Job, design: AdapterDesign) -> View:
    radii = {land.radius for land in design.lands}
    entities: list[Entity] = [Circle(0.0, 0.0, r) for r in sorted(radii)]
    if design.bore_radius_mm > 0:
        entities.append(Circle(0.0, 0.0, design.bore_radius_mm, "HOLES"))
    largest = max(radii)
    entities.append(CentreMark(0.0, 0.0, largest))
    spots = rounds(design.bolts)
    if spots and job.bolts is not None:
        bolts = job.bolts
        first = bolts.first_at % (360.0 / bolts.count)
        below = f"on ⌀{length(bolts.circle, drawing_units(job))}, first at {degrees(first)}\nfrom the TDC line"
        entities += bolt_circle(spots, bolts.circle, below, holes=True)
    entities += reference_marks(largest, job.sense, "TDC line")
    entities.append(section_marks(largest))
    return View("front", tuple(entities), cell=(0, 0))


def _notes(design: AdapterDesign) -> Iterator[str]:
    yield "Turn bore, pilot and front face in one chucking; face the back against a true jaw or a spigot."
    yield "The two faces must be clean and parallel: a tilted ring wobbles in front of the sensor."
    yield "Drill the bolt holes from the pulley's own, or from the gauge; number one is nearest the TDC line."
    if len(design.lands) > 1:
        yield "The pilot must enter the wheel's bore by hand without shake; the bolts only clamp."
    if design.least_bolt_length_mm is not None:
        yield (
            f"Bolts at least {words.length(design.least_bolt_length_mm)} long under the head, "
            "so that they hold by one and a half diameters in the pulley."
        )
