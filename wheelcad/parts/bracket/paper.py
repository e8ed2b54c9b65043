"""The bracket on paper at full size, as lines: its flat to fold from card, and the engine's pattern to hold against it.

Flat: the frame of `model`. Pattern: engine frame, seen from the front. Lines are runs of points with chords of FLAT mm;
what they are called is what the check that measures them back says.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.drawing.ink import Letters
from wheelcad.parts.bracket.model import BracketDesign, Frame, Hole
from wheelcad.parts.common.paper import CROSS, Bounds, Point, Tiling, page_paper, tiled
from wheelcad.parts.common.paper_ink import SMALL
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop

PAPER_FILE = "bracket-paper.pdf"
FLAT = 0.005  # mm: arcs are drawn as chords this close
ROOM = 4.0  # mm around the drawing
BEYOND = 3.0  # mm that a hole's cross reaches past its edge
AWAY = 1.8  # mm from a hole's cross to its name
AIR = 0.3  # mm at least between a word and a line
CENTRE = 12.0  # mm: half the size of the crank centre's cross
TDC_PAST = 8.0  # mm that the TDC line goes on beyond the rim


@dataclass(frozen=True)
class PaperLine:
    """A line that is drawn. kind: edge and hole are cut, slit is scored, fold is folded, mark is only looked at."""

    kind: str
    name: str
    points: tuple[Point, ...]

    @property
    def shape(self) -> shapely.Geometry:
        """As a shapely line."""
        return shapely.LineString(self.points)


@dataclass(frozen=True)
class PaperPart:
    """One of the two drawings and the pages it takes."""

    title: str
    lines: tuple[PaperLine, ...]
    labels: tuple[Letters, ...]
    tiling: Tiling


def plan_paper(design: BracketDesign) -> tuple[PaperPart, PaperPart]:
    """The flat, and the pattern."""
    return _flat(design), _pattern(design)


def _part(design: BracketDesign, title: str, lines: Sequence[PaperLine], labels: Sequence[Letters]) -> PaperPart:
    job = design.asked.job
    drawn = shapely.union_all([line.shape for line in lines])
    x0, y0, x1, y1 = drawn.bounds
    bounds: Bounds = (x0 - ROOM, y0 - ROOM, x1 + ROOM, y1 + ROOM)
    words = shapely.union_all([shapely.Polygon(label.corners()) for label in labels]) if labels else shapely.Polygon()
    taken = shapely.union_all([drawn, words])
    far = 1.5 * CROSS + 1.0

    def blocked(p: Point) -> bool:
        return bool(taken.distance(shapely.Point(p)) < far)

    return PaperPart(title, tuple(lines), tuple(labels), tiled(page_paper(job), job.units, bounds, blocked))


def _run(loop: Loop) -> tuple[Point, ...]:
    points = loop.flatten(FLAT)
    return _points(np.vstack([points, points[:1]]))


def _points(points: Floats) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _cross(name: str, x: float, y: float, arm: float) -> Iterator[PaperLine]:
    yield PaperLine("mark", name, ((x - arm, y), (x + arm, y)))
    yield PaperLine("mark", name, ((x, y - arm), (x, y + arm)))


def _flat(design: BracketDesign) -> PaperPart:
    lines = [PaperLine("edge", "the outline", _run(design.outline))]
    names, folds = list[Letters](), list[Letters]()
    for hole in design.holes:
        lines.append(PaperLine("hole", hole.name, _run(hole.loop)))
        for x, y in dict.fromkeys([(hole.x0, hole.y0), (hole.x1, hole.y1)]):  # a set's order hangs on the last digit
            lines += _cross(f"the cross of {hole.name}", x, y, hole.diameter / 2 + BEYOND)
    for number, bend in enumerate(design.bends, 1):
        way = "up" if bend.up else "down"
        lines += [PaperLine("fold", f"fold {number}", run) for run in _between_slits(design, number - 1)]
        said = f"fold {number} {way} {bend.angle_deg:g}°"
        folds.append(Letters(bend.line_x - 1.4, bend.y_from + 2.0, said, SMALL, rotation=90.0))
    lines += [PaperLine("slit", f"slit {n}", slit) for n, slit in enumerate(design.slits, 1)]
    for number, gusset in enumerate(design.gussets, 1):
        lines.append(PaperLine("edge", f"gusset {number}", _run(gusset.nested)))
    for hole in design.holes:
        names.append(_name_of(hole, lines, [*names, *folds]))
    facing = "the side the first bend turns to" if design.bends else "the side away from the block"
    return _part(design, f"flat, {facing} facing you", sorted(lines, key=lambda line: line.name), [*names, *folds])


def _name_of(hole: Hole, lines: Sequence[PaperLine], words: Sequence[Letters]) -> Letters:
    """The hole's name below it; above or beside it where it would run over a line or another word, or off the plate,
    and does not there."""
    own = shapely.union_all([line.shape for line in lines if line.name in (hole.name, f"the cross of {hole.name}")])
    (x0, y0, x1, y1), (x, y) = own.bounds, hole.middle
    places = (
        Letters(x, y0 - AWAY - SMALL, hole.name, SMALL, "centre"),
        Letters(x, y1 + AWAY, hole.name, SMALL, "centre"),
        Letters(x1 + AWAY, y - SMALL / 2, hole.name, SMALL),
        Letters(x0 - AWAY, y - SMALL / 2, hole.name, SMALL, "right"),
    )
    (plate,) = (shapely.Polygon(line.points) for line in lines if line.name == "the outline")
    taken = [line.shape for line in lines] + [shapely.Polygon(word.corners()) for word in words]
    free = plate - shapely.union_all(taken).buffer(AIR)
    return next((one for one in places if free.contains(shapely.Polygon(one.corners()))), places[0])


def _between_slits(design: BracketDesign, number: int) -> Iterator[tuple[Point, ...]]:
    """The fold line from edge to edge, left out where it is slit."""
    bend = design.bends[number]
    low = bend.y_from
    for a, b in sorted(slit for slit in design.slits if abs(slit[0][0] - bend.line_x) < 1e-6):
        yield (bend.line_x, low), (bend.line_x, a[1])
        low = b[1]
    yield (bend.line_x, low), (bend.line_x, bend.y_to)


def _pattern(design: BracketDesign) -> PaperPart:
    """What is on the engine: crank centre, TDC line, the ring's circle, the mounts, and where the nose looks from."""
    job, place = design.asked.job, design.asked.place
    rim, sense = job.wheel.outside_diameter / 2, job.sense
    lines = [*_cross("the crank centre", 0.0, 0.0, CENTRE)]
    lines.append(PaperLine("mark", "the TDC line", ((0.0, CENTRE + 3.0), (0.0, rim + TDC_PAST))))
    lines.append(PaperLine("mark", "the ring's circle", _run(Loop.circle(0.0, 0.0, rim))))
    labels = [Letters(2.0, rim - 8.0, "TDC", SMALL), Letters(3.0, -8.0, "crank centre", SMALL)]
    for (x, y), hole in zip(design.mount_points, design.mounts, strict=True):
        lines.append(PaperLine("hole", hole.name, _run(Loop.circle(x, y, hole.diameter / 2))))
        lines += _cross(f"the cross of {hole.name}", x, y, hole.diameter / 2 + BEYOND)
        name = design.asked.bracket.mounts[hole.mount - 1].name or hole.name
        labels.append(Letters(x, y - hole.diameter / 2 - BEYOND - 4.0, name, SMALL, "centre"))
    out, half = np.array(place.out[:2]), place.body_diameter / 2
    side = np.array([-out[1], out[0]])
    tip, face = np.array(place.tip[:2]), np.array(place.face[:2])
    if design.asked.sensor.looks == "in":
        box = (face + half * side, tip + half * side, tip - half * side, face - half * side)
        lines.append(PaperLine("mark", "the sensor's nose", _points(np.array([*box, box[0]]))))
    else:
        lines.append(PaperLine("mark", "the sensor's nose", _run(Loop.circle(float(tip[0]), float(tip[1]), half))))
    x, y = point_at(float(face @ out) + half + 6.0, design.asked.sensor.at, sense).tolist()
    labels.append(Letters(x, y, "sensor", SMALL, "centre"))
    return _part(design, "the engine's pattern, seen from the front", sorted(lines, key=lambda line: line.name), labels)


def card_off(design: BracketDesign) -> tuple[float, float]:
    """How far the sensor's seat on a card folded sharp on its lines stands from its place: along the crank (positive:
    the place lies further forward) and away from the crank axis (positive: further out), mm.

    Card has no thickness and no round, plate has both; the arm's card lies on the block, packing between.
    """
    frame = design.regions[0].frame
    origin = (*frame.origin[:2], float(design.asked.bracket.plate_back))
    card = Frame(origin, frame.ex, frame.ey, frame.ez)
    for bend in design.bends:
        sharp = replace(bend, x_tab=bend.line_x, x_arm=bend.line_x, inside_radius=0.0)
        card = card.beyond(sharp, thickness=0.0)
    body: Hole = design.hole("body")
    seat = card.points((*body.middle, 0.0))
    off = np.array(design.asked.place.face) - seat
    return float(off[2]), float(off @ np.array(design.asked.place.out))
