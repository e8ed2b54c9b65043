"""Where ink already stands, and whether more fits: boxes of text against text and lines, lines against lines."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from wheelcad.drawing.ink import Box, Floats, Group, HatchArea, Ink, Letters, Ring, Stroke, letters_box, segments_of

TEXT_GAP = 0.4  # mm kept free round text
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


def segments_in_box(segments: Floats, box: Box) -> bool:
    """True when any of the segments (n, 4) passes through the box: clipped by its four sides (Liang and Barsky)."""
    x0, y0, x1, y1 = segments.T
    near = (x0 < box[2]) | (x1 < box[2])
    near &= (x0 > box[0]) | (x1 > box[0])
    near &= (y0 < box[3]) | (y1 < box[3])
    near &= (y0 > box[1]) | (y1 > box[1])
    few = segments[near]
    if not len(few):
        return False
    start, run = few[:, :2], few[:, 2:] - few[:, :2]
    low, high = np.array(box[:2]), np.array(box[2:])
    with np.errstate(divide="ignore", invalid="ignore"):
        t0, t1 = (low - start) / run, (high - start) / run
    enter, leave = np.minimum(t0, t1), np.maximum(t0, t1)
    level = run == 0
    inside = (start > low) & (start < high)
    enter = np.where(level, np.where(inside, -np.inf, np.inf), enter)
    leave = np.where(level, np.where(inside, np.inf, -np.inf), leave)
    first = np.maximum(enter.max(axis=1), 0.0)
    last = np.minimum(leave.min(axis=1), 1.0)
    return bool((first < last).any())


def segments_cross(segments: Floats, one: Floats) -> NDArray[np.bool_]:
    """Which segments (n, 4) cross the single segment (4,) at a point inside both."""
    p, r = segments[:, :2], segments[:, 2:] - segments[:, :2]
    q, s = one[:2], one[2:] - one[:2]
    cross = r[:, 0] * s[1] - r[:, 1] * s[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = ((q[0] - p[:, 0]) * s[1] - (q[1] - p[:, 1]) * s[0]) / cross
        u = ((q[0] - p[:, 0]) * r[:, 1] - (q[1] - p[:, 1]) * r[:, 0]) / cross
    edge = 1e-6
    return np.asarray((np.abs(cross) > 1e-12) & (t > edge) & (t < 1 - edge) & (u > edge) & (u < 1 - edge))


def side_by_side(segments: Floats, one: Floats, gap: float) -> NDArray[np.bool_]:
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
        self._chunks: dict[str, list[Floats]] = {"any": [], "dimension-line": [], "leader": [], "solid": []}
        self._joined: dict[str, Floats] = {}
        self._array: Floats | None = None
        self._shapes: list[Ring | Floats] = []

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
            if isinstance(ink, Stroke | Ring) and ink.role in ("dimension-line", "leader"):
                self._put(ink.role, segments)
            if isinstance(ink, HatchArea) or (isinstance(ink, Stroke | Ring) and ink.pen.layer in SOLID_LAYERS):
                self._put("solid", segments)
                if isinstance(ink, Ring) and ink.start is None:
                    self._shapes.append(ink)
                elif isinstance(ink, Stroke) and len(ink.vertices) > 2:
                    self._shapes.append(ink.points())

    def _put(self, kind: str, segments: Floats) -> None:
        self._chunks[kind].append(segments)
        self._joined.pop(kind, None)

    def segments(self, kind: str) -> Floats:
        """All segments of a kind: any, dimension-line, leader or solid; (n, 4)."""
        if kind not in self._joined:
            chunks = self._chunks[kind]
            self._joined[kind] = np.vstack(chunks) if chunks else np.empty((0, 4))
        return self._joined[kind]

    def on_part(self, box: Box) -> bool:
        """True when the middle of a box lies on the part: inside any of its outlines (open ones closed straight)."""
        x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        return any(_inside(shape, x, y) for shape in self._shapes)

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
            for box in wide[_boxes_meet(wide, grown(reach, 1e-6))]:
                if segments_in_box(segments, tuple(box)):
                    yield "a line through text"
        if not isinstance(ink, Stroke | Ring) or ink.role not in ("dimension-line", "leader"):
            return
        for one in segments:
            if side_by_side(self.segments("dimension-line"), one, PARALLEL_GAP).any():
                yield "dimension lines too close"
            for kind in ("solid", "leader") if ink.role == "dimension-line" else ("dimension-line", "leader"):
                if segments_cross(self.segments(kind), one).any():
                    yield f"a {ink.role} over {'the part' if kind == 'solid' else 'a ' + kind}"


def _inside(shape: Ring | Floats, x: float, y: float) -> bool:
    if isinstance(shape, Ring):
        return (x - shape.x) ** 2 + (y - shape.y) ** 2 < shape.radius**2
    ahead = np.roll(shape, -1, axis=0)
    spans = (shape[:, 1] > y) != (ahead[:, 1] > y)
    p, q = shape[spans], ahead[spans]
    at = p[:, 0] + (y - p[:, 1]) * (q[:, 0] - p[:, 0]) / (q[:, 1] - p[:, 1])
    return bool(np.count_nonzero(x < at) % 2)


def _boxes_meet(boxes: Floats, box: Box) -> NDArray[np.bool_]:
    """Which boxes (n, 4) share area with the box."""
    return np.asarray((boxes[:, 0] < box[2]) & (box[0] < boxes[:, 2]) & (boxes[:, 1] < box[3]) & (box[1] < boxes[:, 3]))
