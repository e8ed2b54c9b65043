"""The sheet of tags as numbers: which tag lies where on which page, and where in its own piece.

A piece is what is cut out and stuck on: the disc, whose origin is the crank axis and whose y is the TDC line, or a card
with a bolt's hole in the middle, whose origin is that hole. A tag is a square of the ArUco dictionary DICT_5X5_1000 (a
general-purpose open set of coded squares). Page coordinates are mm from the page's lower left; corners in the order
in which detectors give them: the tag's own upper left, then the way a clock's hands go.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.job.models import Bolts, Job, Mount
from wheelcad.survey.from_job import known_points
from wheelcad.trade.threads import thread
from wheelcad.units import INCH_MM

DICTIONARY = "DICT_5X5_1000"
CELLS = 7  # of a tag's side: five of code and a black one at either end
GROUP = 64  # numbers kept for a job: tags of another job are then known as such
DISC = "disc"
SHEET_PDF, SHEET_JSON = "survey-tags.pdf", "survey-tags.json"
THINGS = 4  # cards for things in the way
THING = "thing-"

PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm
EDGE = 8.0  # mm a usual printer leaves white all round
HEAD = 34.0  # mm at a page's head for its title and what to do
LEFT_STRIP, FOOT_STRIP = 12.0, 14.0  # mm for the upright bar and the level one
BARS_MM = {"mm": (150.0, 200.0), "in": (6 * INCH_MM, 8 * INCH_MM)}  # the level bar, the upright one
LARGEST_DISC, LEAST_DISC = 180.0, 110.0  # mm: what a page holds, and under which a place at 200 mm is poor
RIM = 2.0  # mm of the disc left white outside its tags
ROOM = 3.0  # mm between a tag's white border and a bolt's hole
CARD = 46.0  # mm, side of a card; smaller where two holes lie closer
LEAST_CARD = 30.0
NAME_STRIP = 13.0  # mm between two tags of a card, where its name stands
BETWEEN = 6.0  # mm between cards on a page
THING_HOLE = 4.0  # mm, the mark in the middle of a card for a thing in the way
LARGEST_TAG, WELL_SEEN, LEAST_TAG = 26.0, 18.0, 9.0  # mm: a larger one than the second is no better read


@dataclass(frozen=True)
class Tag:
    """A coded square: number, page from 1, what it is on (disc or a point's name), corners (4, 2) on page and piece."""

    number: int
    page: int
    on: str
    corners_page_mm: Floats
    corners_mm: Floats


@dataclass(frozen=True)
class TagPiece:
    """Something to cut out: its middle on the page, its size (diameter of the disc, side of a card), its hole."""

    name: str
    page: int
    centre_mm: tuple[float, float]
    size_mm: float
    hole_mm: float


@dataclass(frozen=True)
class TagSheet:
    """All of survey-tags.pdf as numbers. bars_mm: lengths of the level and the upright bar on every page."""

    page_mm: tuple[float, float]
    bars_mm: tuple[float, float]
    pieces: tuple[TagPiece, ...]
    tags: tuple[Tag, ...]
    bolt_holes: tuple[tuple[float, float, float], ...]

    def as_json(self) -> dict[str, object]:
        """survey-tags.json."""
        tags = [
            {
                "id": tag.number,
                "dictionary": DICTIONARY,
                "page": tag.page,
                "on": tag.on,
                "corners_page_mm": tag.corners_page_mm,
                "corners_mm": tag.corners_mm,
            }
            for tag in self.tags
        ]
        return {"page_mm": list(self.page_mm), "tags": tags}


def first_number(job: Job) -> int:
    """The first number of the job's own group of tags."""
    spread = int.from_bytes(hashlib.sha256(job.job.encode()).digest()[:4], "big")
    return GROUP * (spread % (1000 // GROUP))


def plan_tags(job: Job, paper: str) -> TagSheet:
    """The sheet for a job's disc, its mounts, and things in the way. paper: A4 or Letter."""
    width, height = PAGES[paper]
    left, foot = EDGE + LEFT_STRIP, EDGE + FOOT_STRIP
    pulley = job.pulley
    size = pulley.as_found[0].diameter if pulley is not None and pulley.as_found else LARGEST_DISC
    size = min(max(float(size), LEAST_DISC), LARGEST_DISC, width - EDGE - left)
    bolts = pulley.bolts if pulley is not None else None
    centre = ((left + width - EDGE) / 2, foot + size / 2 + 2.0)
    hole = float(pulley.bore) if pulley is not None and pulley.bore is not None else THING_HOLE
    pieces = [TagPiece(DISC, 1, centre, size, hole)]
    number = first_number(job)
    tags = [
        Tag(number + k, 1, DISC, square + centre, square)
        for k, square in enumerate(disc_squares(size / 2, bolt_holes(job, bolts), hole / 2))
    ]
    side = card_side(job)
    mounts = job.mounts
    cards = [(mount.name, bolt_size(mount)) for mount in mounts]
    own = [o.name for o in job.bracket.obstacles if not o.name.startswith(THING)] if job.bracket is not None else []
    cards += [(name, THING_HOLE) for name in (*own, *(f"{THING}{k + 1}" for k in range(THINGS)))]
    columns = int((width - EDGE - left + BETWEEN) // (side + BETWEEN))
    rows = int((height - EDGE - foot - HEAD + BETWEEN) // (side + BETWEEN))
    for k, (name, hole) in enumerate(cards):
        page, place = divmod(k, columns * rows)
        row, column = divmod(place, columns)
        middle = (
            left + side / 2 + column * (side + BETWEEN),
            height - EDGE - HEAD - side / 2 - row * (side + BETWEEN),
        )
        pieces.append(TagPiece(name, page + 2, middle, side, hole))
        for square in card_squares(side, hole):
            tags.append(Tag(number + len(tags), page + 2, name, square + middle, square))
    return TagSheet((width, height), BARS_MM[job.units], tuple(pieces), tuple(tags), bolt_holes(job, bolts))


def bolt_holes(job: Job, bolts: Bolts | None) -> tuple[tuple[float, float, float], ...]:
    """x, y and diameter of the pulley's bolt holes, with the TDC line up, mm."""
    if bolts is None:
        return ()
    places = list(known_points(job, 0.0).values())[1:]
    return tuple((x, y, float(bolts.hole)) for x, y, _ in places)


def bolt_size(mount: Mount) -> float:
    """What centres a mount's card: the bolt's diameter, mm, or the clearance hole's where the thread is not known."""
    try:
        return thread(mount.thread).diameter_mm if mount.thread else float(mount.hole)
    except ValueError:  # an uncommon size
        return float(mount.hole)


def card_side(job: Job) -> float:
    """Side of the cards: two mounts whose places are known must not lie under each other's."""
    mounts = job.mounts
    places = [(float(m.given_x), float(m.given_y)) for m in mounts if m.given_x is not None and m.given_y is not None]
    apart = [math.dist(a, b) for k, a in enumerate(places) for b in places[:k]]
    return max(LEAST_CARD, min([CARD, *(far - 1.0 for far in apart)]))


def card_squares(side: float, hole: float) -> list[Floats]:
    """Four tags, one in each corner of a card, as large as the hole in the middle leaves room for; (4, 2) each."""
    # from the middle to a tag's inner corner: (side/2 - tag·8/7)·√2, and a module of white round the hole
    by_hole = (math.sqrt(2.0) * side / 2 - hole / 2 - 1.0) / (math.sqrt(2.0) * 8 / 7 + 1 / 7)
    by_name = (side / 2 - NAME_STRIP / 2) * 7 / 8
    tag = max(min(LARGEST_TAG, by_hole, by_name), LEAST_TAG)
    middle = side / 2 - tag / CELLS - tag / 2
    return [square_at(x * middle, y * middle, tag, 0.0) for y in (1, -1) for x in (-1, 1)]


def square_at(x: float, y: float, side: float, turned_deg: float) -> Floats:
    """Corners of a tag about x, y: upper left, then clockwise, turned clockwise by so many degrees."""
    half = side / 2
    corners = np.array([[-half, half], [half, half], [half, -half], [-half, -half]])
    a = math.radians(turned_deg)
    turn = np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]])
    return np.asarray(corners @ turn.T + [x, y], dtype=float)


def disc_squares(radius: float, holes: tuple[tuple[float, float, float], ...], bore_radius: float) -> list[Floats]:
    """A ring of at least six tags that clears bolts and crank nose; (4, 2) each, the disc's own frame.

    Tags stand radially. Many beat few, as every corner counts; large beat small, up to what a picture shows well.
    """
    best: tuple[float, list[Floats]] = (0.0, [])
    for count in (6, 8, 10, 12):
        for phase in (180.0 / count, 90.0 / count, 270.0 / count):
            side = _largest(count, phase, radius, holes, bore_radius)
            worth = min(side, WELL_SEEN) * math.sqrt(count)
            if worth > best[0]:
                best = (worth, _ring(count, phase, radius, side))
    if not best[1]:
        return _ring(6, 30.0, radius, LEAST_TAG)
    return best[1]


def _ring(count: int, phase_deg: float, radius: float, side: float) -> list[Floats]:
    half = side / 2 + side / CELLS
    middle = math.sqrt((radius - RIM) ** 2 - half**2) - half
    turns = [phase_deg + 360.0 * k / count for k in range(count)]
    return [square_at(middle * math.sin(math.radians(t)), middle * math.cos(math.radians(t)), side, t) for t in turns]


def _largest(
    count: int, phase_deg: float, radius: float, holes: tuple[tuple[float, float, float], ...], bore_radius: float
) -> float:
    """The largest tag of such a ring that clears its neighbours, every hole and the crank nose; 0 when none does."""
    side = LARGEST_TAG
    while side >= LEAST_TAG:
        half = side / 2 + side / CELLS
        middle = math.sqrt((radius - RIM) ** 2 - half**2) - half
        apart = (middle - half) * math.tan(math.pi / count) >= half
        if apart and middle - half >= bore_radius + ROOM and _clear(count, phase_deg, middle, half, holes):
            return side
        side -= 0.5
    return 0.0


def _clear(
    count: int, phase_deg: float, middle: float, half: float, holes: tuple[tuple[float, float, float], ...]
) -> bool:
    """Whether no square of a ring comes within ROOM of a hole, or lies on the TDC line."""
    for k in range(count):
        a = math.radians(phase_deg + 360.0 * k / count)
        if math.cos(a) > 0 and abs(middle * math.sin(a)) < half * math.sqrt(2.0) + 1.0:
            return False
        for x, y, diameter in holes:
            # the hole's centre as the square sees it: outwards and aside from its middle
            out = x * math.sin(a) + y * math.cos(a) - middle
            aside = x * math.cos(a) - y * math.sin(a)
            gap = math.hypot(max(abs(out) - half, 0.0), max(abs(aside) - half, 0.0))
            if gap < diameter / 2 + ROOM:
                return False
    return True
