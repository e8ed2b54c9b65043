"""Where ink already stands, and whether more fits: boxes of text against text and lines, lines against lines."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.drawing.ink import (
    Box,
    Group,
    HatchArea,
    Ink,
    Letters,
    RingStroke,
    Stroke,
    letters_box,
    segments_of,
)

TEXT_GAP = 0.4  # mm kept free round text
EDGE = 1e-6  # share of a line at its ends that may touch another
PARALLEL_GAP = 3.0  # mm between parallel dimension lines that run side by side
SOLID_LAYERS = frozenset({"OUTLINE", "HOLES", "SLIT", "HATCH"})  # what dimension lines must not run over


def grown(box: Box, by: float) -> Box:
    """A box larger by `by` on all sides."""
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def boxes_meet(a: Box, b: Box) -> bool:
    """True when two boxes share area."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def within(inner: Box, outer: Box) -> bool:
    """True when `inner` lies wholly in `outer`."""
    return inner[0] >= outer[0] and inner[1] >= outer[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


class Lines:
    """Segments (n, 4) with their own upright boxes worked out once."""

    def __init__(self, segments: Floats) -> None:
        self.all = segments
        x0, y0, x1, y1 = segments.T
        self._left, self._right = np.minimum(x0, x1), np.maximum(x0, x1)
        self._low, self._high = np.minimum(y0, y1), np.maximum(y0, y1)

    def near(self, box: Box) -> list[list[float]]:
        """The segments whose own boxes meet the box: the few worth a closer look."""
        hit = (self._left < box[2]) & (self._right > box[0]) & (self._low < box[3]) & (self._high > box[1])
        if not hit.any():
            return []
        out: list[list[float]] = self.all[hit].tolist()
        return out


def segments_in_box(segments: Lines, box: Box) -> bool:
    """True when any of the segments passes through the box: clipped by its four sides (Liang and Barsky)."""
    for x0, y0, x1, y1 in segments.near(box):
        first, last = 0.0, 1.0
        for start, run, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
            if run == 0.0:
                if not low < start < high:
                    first = 2.0
                continue
            enter, leave = (low - start) / run, (high - start) / run
            if enter > leave:
                enter, leave = leave, enter
            first, last = max(first, enter), min(last, leave)
        if first < last:
            return True
    return False


def segments_cross(segments: Lines, one: Floats) -> bool:
    """True when any of the segments crosses the single segment (4,) at a point inside both."""
    qx, qy, ex, ey = (float(v) for v in one)
    box = min(qx, ex) - EDGE, min(qy, ey) - EDGE, max(qx, ex) + EDGE, max(qy, ey) + EDGE
    sx, sy = ex - qx, ey - qy
    for x0, y0, x1, y1 in segments.near(box):
        rx, ry = x1 - x0, y1 - y0
        cross = rx * sy - ry * sx
        if abs(cross) <= 1e-12:
            continue
        t = ((qx - x0) * sy - (qy - y0) * sx) / cross
        u = ((qx - x0) * ry - (qy - y0) * rx) / cross
        if EDGE < t < 1 - EDGE and EDGE < u < 1 - EDGE:
            return True
    return False


def side_by_side(segments: Floats, one: Floats, gap: float) -> Bools:
    """Which segments run parallel to `one`, closer than `gap` mm, over some common length."""
    run = one[2:] - one[:2]
    length = float(np.hypot(*run))
    if length < 1e-9 or not len(segments):
        return np.zeros(len(segments), dtype=bool)
    along = run / length
    across = np.array([-along[1], along[0]])
    a, b = segments[:, :2] - one[:2], segments[:, 2:] - one[:2]
    ca, cb = a @ across, b @ across
    pa, pb = a @ along, b @ along
    parallel = np.abs(ca - cb) < 1e-6 + 0.002 * np.abs(pa - pb)
    near = np.abs(ca) < gap - 1e-6
    common = (np.minimum(pa, pb) < length - 0.05) & (np.maximum(pa, pb) > 0.05)
    return np.asarray(parallel & near & common)


def kept_clear(group: Group) -> list[tuple[str, Box]]:
    """Boxes of a group that nothing else may enter, with what to call them: its text and its drawn frames and signs."""
    words = [(f"text {i.text!r}", letters_box(i)) for i in group.ink if isinstance(i, Letters)]
    return [*words, *((f"the sign {group.name!r}", box) for box in group.keep)]


class Room:
    """Text boxes and segments by kind, to ask whether a new group fits."""

    def __init__(self) -> None:
        self.boxes: list[Box] = []
        self._chunks: dict[str, list[Floats]] = {"any": [], "dimension-line": [], "leader": [], "solid": [], "hole": []}
        self._joined: dict[str, Lines] = {}
        self._array: Floats | None = None
        self._shapes: list[tuple[Box, RingStroke | Floats]] = []

    def copy(self) -> Room:
        """Another room in which the same stands."""
        other = Room()
        other.become(self)
        return other

    def become(self, other: Room) -> None:
        """Take over what stands in another room."""
        self.boxes = list(other.boxes)
        self._chunks = {kind: list(chunks) for kind, chunks in other._chunks.items()}
        self._joined = dict(other._joined)
        self._array = None
        self._shapes = list(other._shapes)

    def add(self, group: Group) -> None:
        """Take a group's ink as standing."""
        self.boxes.extend(box for _, box in kept_clear(group))
        for ink in group.ink:
            if isinstance(ink, Letters):
                continue
            segments = segments_of(ink)
            if not len(segments):
                continue
            self._put("any", segments)
            if isinstance(ink, Stroke | RingStroke) and ink.role in ("dimension-line", "leader"):
                self._put(ink.role, segments)
            if isinstance(ink, HatchArea) or (isinstance(ink, Stroke | RingStroke) and ink.pen.layer in SOLID_LAYERS):
                self._put("solid", segments)
                if isinstance(ink, Stroke | RingStroke) and ink.pen.layer == "HOLES":
                    self._put("hole", segments)
                if isinstance(ink, RingStroke) and ink.start is None:
                    r = ink.radius
                    self._shapes.append(((ink.x - r, ink.y - r, ink.x + r, ink.y + r), ink))
                elif isinstance(ink, Stroke) and len(ink.vertices) > 2:
                    p = ink.points()
                    self._shapes.append(((*p.min(axis=0).tolist(), *p.max(axis=0).tolist()), p))

    def _put(self, kind: str, segments: Floats) -> None:
        self._chunks[kind].append(segments)
        self._joined.pop(kind, None)

    def segments(self, kind: str) -> Lines:
        """All segments of a kind: any, dimension-line, leader, solid or hole."""
        if kind not in self._joined:
            chunks = self._chunks[kind]
            self._joined[kind] = Lines(np.vstack(chunks) if chunks else np.empty((0, 4)))
        return self._joined[kind]

    def on_part(self, box: Box) -> bool:
        """True when the middle of a box lies on the part: inside any of its outlines (open ones closed straight)."""
        return self.over_part((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)

    def over_part(self, x: float, y: float) -> bool:
        """True when a point lies inside any of the part's outlines."""
        return any(b[0] < x < b[2] and b[1] < y < b[3] and _inside(shape, x, y) for b, shape in self._shapes)

    def clear(self, box: Box) -> bool:
        """True when nothing at all stands in a box (with the gap that text keeps)."""
        wide = grown(box, TEXT_GAP)
        boxes = self._box_array()
        if len(boxes) and _boxes_meet(boxes, wide).any():
            return False
        return not segments_in_box(self.segments("any"), wide)

    def _box_array(self) -> Floats:
        if self._array is None or len(self._array) != len(self.boxes):
            self._array = np.array(self.boxes).reshape(-1, 4)
        return self._array

    def faults(self, group: Group) -> Iterator[str]:
        """What a group would run into, in words; nothing when it fits."""
        boxes = self._box_array()
        for name, box in kept_clear(group):
            wide = grown(box, TEXT_GAP)
            if len(boxes) and _boxes_meet(boxes, wide).any():
                yield f"{name} on other text"
            if segments_in_box(self.segments("any"), wide):
                yield f"{name} on a line"
        for ink in group.ink:
            if not isinstance(ink, Letters):
                yield from self._line_faults(ink, boxes)

    def fits(self, group: Group) -> bool:
        """True when a group runs into nothing."""
        return next(self.faults(group), None) is None

    def _line_faults(self, ink: Ink, boxes: Floats) -> Iterator[str]:
        segments = segments_of(ink)
        if not len(segments):
            return
        if len(boxes):
            wide = boxes + np.array([-TEXT_GAP, -TEXT_GAP, TEXT_GAP, TEXT_GAP])
            reach = (*segments.reshape(-1, 2).min(axis=0), *segments.reshape(-1, 2).max(axis=0))
            own = Lines(segments)
            for box in wide[_boxes_meet(wide, grown(reach, EDGE))]:
                if segments_in_box(own, tuple(box.tolist())):
                    yield "a line through text"
        if not isinstance(ink, Stroke | RingStroke) or ink.role not in ("dimension-line", "leader"):
            return
        for one in segments:
            if side_by_side(self.segments("dimension-line").all, one, PARALLEL_GAP).any():
                yield "dimension lines too close"
            for kind in ("solid", "leader") if ink.role == "dimension-line" else ("dimension-line", "leader"):
                if segments_cross(self.segments(kind), one):
                    yield f"a {ink.role} over {'the part' if kind == 'solid' else 'a ' + kind}"


def _inside(shape: RingStroke | Floats, x: float, y: float) -> bool:
    if isinstance(shape, RingStroke):
        return (x - shape.x) ** 2 + (y - shape.y) ** 2 < shape.radius**2
    ahead = np.roll(shape, -1, axis=0)
    spans = (shape[:, 1] > y) != (ahead[:, 1] > y)
    p, q = shape[spans], ahead[spans]
    at = p[:, 0] + (y - p[:, 1]) * (q[:, 0] - p[:, 0]) / (q[:, 1] - p[:, 1])
    return bool(np.count_nonzero(x < at) % 2)


def _boxes_meet(boxes: Floats, box: Box) -> Bools:
    """Which boxes (n, 4) share area with the box."""
    return np.asarray((boxes[:, 0] < box[2]) & (box[0] < boxes[:, 2]) & (boxes[:, 1] < box[3]) & (box[1] < boxes[:, 3]))
