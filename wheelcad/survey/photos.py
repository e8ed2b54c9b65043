"""The survey by photographs: x, y, z of every card's hole, the face's tilt, and what is wrong with the pictures.

tags in each picture  ->  first guess  ->  everything solved together  ->  what contradicts itself  ->  places
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import JobFileError
from wheelcad.survey.bundle import BOW_SD, Solved, solve_bundle
from wheelcad.survey.camera import Camera
from wheelcad.survey.contradictions import clustered, contradictions, unflat, unplaced
from wheelcad.survey.guess import Guess, guess
from wheelcad.survey.model import Point
from wheelcad.survey.pictures import Picture
from wheelcad.survey.sheetfile import Printed
from wheelcad.survey.sighted import Sighted, sight
from wheelcad.survey.spread import LIMIT_SDS, radius_95
from wheelcad.words import length

POOR_PX = 1.5  # corners that fit worse than this on the whole fit nowhere: the solution is another minimum
RETRY = (0.7, 1.4)  # times the guessed focal length, where the first guess led nowhere
BENT = 1.3  # times what is assumed of a print's flatness, from which it is said
UNREAD_BARS = 0.03  # what "fit to page" does to a print, as a 95 % limit


@dataclass(frozen=True)
class Bars:
    """What the bars of the print measure, over what they should, level and upright; read_to: of each, 95 %, a share."""

    ratio: tuple[float, float] = (1.0, 1.0)
    read_to: tuple[float, float] = (UNREAD_BARS, UNREAD_BARS)
    measured: bool = False


def bars_of(nominal_mm: tuple[float, float], measured_mm: tuple[float, float], read_to_mm: float) -> Bars:
    """Bars that were measured to within read_to_mm (95 %)."""
    ratio = (measured_mm[0] / nominal_mm[0], measured_mm[1] / nominal_mm[1])
    return Bars(ratio, (read_to_mm / nominal_mm[0], read_to_mm / nominal_mm[1]), measured=True)


@dataclass(frozen=True)
class BlockFace:
    """The block's face as the cards of the mounts show it: z of its middle, the tilt of its normal from the crank, and
    which way it leans: the direction (degrees, clockwise from up) in which the face falls away from the person."""

    z_mm: float
    within_95_mm: float
    tilt_deg: float
    tilt_95_deg: float
    falls_to_deg: float


@dataclass(frozen=True)
class PhotoSeen:
    """How much of one picture was used, and how well it fits (root mean square of corners, px)."""

    picture: Picture
    camera: Camera
    tags: int
    reprojection_px: float


@dataclass(frozen=True)
class PhotoSurvey:
    """Places in the engine frame, and all that stands behind them. views: point -> pictures that show it."""

    points: tuple[Point, ...]
    face: BlockFace | None
    photos: tuple[PhotoSeen, ...]
    views: dict[str, tuple[int, ...]]
    rays_deg: dict[str, float]
    bars: Bars
    said: tuple[str, ...]

    def as_json(self) -> dict[str, object]:
        """As `survey --json` gives it."""
        face = None
        if self.face is not None:
            face = {
                "z_mm": self.face.z_mm,
                "within_95_mm": self.face.within_95_mm,
                "tilt_deg": self.face.tilt_deg,
                "within_95_deg": self.face.tilt_95_deg,
            }
        photos = [
            {"file": str(s.picture.file), "tags": s.tags, "reprojection_px": s.reprojection_px} for s in self.photos
        ]
        return {"points": [point.as_json() for point in self.points], "residuals": [], "photos": photos, "face": face}


@dataclass(frozen=True)
class PrintMounting:
    """What the prints are stuck on: thickness of the disc's and the cards' own plates, mm; z of the pulley's front."""

    front_z_mm: float = 0.0
    disc_plate_mm: float = 0.0
    card_plate_mm: float = 0.0


def survey_photos(
    pictures: Sequence[Picture],
    sheet: Printed,
    bars: Bars,
    mounting: PrintMounting,
    mounts: Sequence[str],
) -> PhotoSurvey:
    """Where the cards' holes are, engine frame. mounts: the points whose cards lie on the block's face.

    JobFileError where pictures are too few, are of another print, or contradict each other.
    """
    scale = (math.log(bars.ratio[0]), math.log(bars.ratio[1]))
    scale_sd = (bars.read_to[0] / LIMIT_SDS, bars.read_to[1] / LIMIT_SDS)
    sighted = sight(pictures, sheet, scale, scale_sd)
    solved, placed, sighted = solve_sighted(sighted)
    faults = contradictions(sighted, solved)
    if faults:
        raise JobFileError(faults)
    bent = unflat(solved)
    wider = clustered(sighted, solved) * bent**2
    solved = replace(solved, covariance=seated(replace(solved, covariance=solved.covariance * wider)))
    cameras = [solved.camera(sighted.setting, k) for k in range(len(sighted.pictures))]
    points = tuple(_point(sighted.pieces[c], c, solved, mounting) for c in placed.cards)
    photos = tuple(
        PhotoSeen(picture, cameras[k], sighted.tags[k], _rms(solved.off_px[sighted.corners.picture == k]))
        for k, picture in enumerate(sighted.pictures)
    )
    views = {
        sighted.pieces[c]: tuple(np.unique(sighted.corners.picture[sighted.corners.piece == c]).tolist())
        for c in placed.cards
    }
    rays = {
        sighted.pieces[c]: _rays(solved.state.card_shift[c - 1], [cameras[k] for k in views[sighted.pieces[c]]])
        for c in placed.cards
    }
    said = sighted.said
    if bent > BENT:
        far = length(max(float(np.abs(part).max()) for part in (solved.state.lift, solved.state.bow)), 1)
        said += (f"The prints do not lie flat (up to {far}): glue them to stiff card, and the places gain.",)
    on_face = [c for c in placed.cards if sighted.pieces[c] in mounts]
    return PhotoSurvey(points, _face(on_face, solved, mounting), photos, views, rays, bars, said)


def seated(solved: Solved) -> Floats:
    """The covariance with what no picture tells: whether the middle of a bowed print or its edge lies on the face under
    it, half the bow either way. The disc's moves all cards alike, along the crank."""
    out = solved.covariance.copy()
    apart = (BOW_SD / 2) ** 2
    at = solved.slots.card_shift
    out[np.ix_(at[:, 2], at[:, 2])] += apart
    for card, turn in zip(at, solved.state.card_turn, strict=True):
        out[np.ix_(card, card)] += apart * np.outer(turn[:, 2], turn[:, 2])
    return out


def solve_sighted(sighted: Sighted) -> tuple[Solved, Guess, Sighted]:
    """The best solution, trying other focal lengths where the first leads nowhere; and what could be placed.

    What could not be placed is left out of the corners, and said.
    """
    first = guess(sighted.corners, sighted.setting, sighted.focal_share)
    sighted, first = unplaced(sighted, first)
    best = solve_bundle(sighted.corners, sighted.setting, first.state)
    for times in RETRY:
        if best.corner_sd_px <= POOR_PX:
            break
        longer = sighted.setting.size_px.max(axis=1)
        share = {
            int(lens): float(np.exp(first.state.focal[lens]) / longer[k]) * times
            for k, lens in enumerate(sighted.setting.lens)
        }
        other = guess(sighted.corners, sighted.setting, share)
        if (other.pictures, other.cards) == (first.pictures, first.cards):
            trial = solve_bundle(sighted.corners, sighted.setting, other.state)
            best = trial if trial.corner_sd_px < best.corner_sd_px else best
    return best, first, sighted


def _rms(off_px: Floats) -> float:
    """Root mean square of distances (n, 2)."""
    return float(np.sqrt(np.mean(np.sum(off_px**2, axis=1))))


def _point(name: str, card: int, solved: Solved, mounting: PrintMounting) -> Point:
    """The hole in a card's middle, on the face that the card's plate lies on."""
    at = solved.slots.card_shift[card - 1]
    covariance = solved.covariance[np.ix_(at, at)]
    normal = solved.state.card_turn[card - 1][:, 2]
    x, y, z = solved.state.card_shift[card - 1] - mounting.card_plate_mm * normal
    z += mounting.front_z_mm + mounting.disc_plate_mm
    return Point(name, float(x), float(y), float(z), radius_95(covariance), covariance)


def _rays(place: Floats, cameras: Sequence[Camera]) -> float:
    """The widest angle between lines of sight to a place, degrees."""
    ways = [(camera.place_mm - place) / np.linalg.norm(camera.place_mm - place) for camera in cameras]
    cosines = [float(a @ b) for k, a in enumerate(ways) for b in ways[:k]]
    return math.degrees(math.acos(min([1.0, *(max(-1.0, c) for c in cosines)])))


def _face(cards: Sequence[int], solved: Solved, mounting: PrintMounting) -> BlockFace | None:
    """z and tilt of the face under the mounts' cards: z the mean of the holes, tilt the mean of the cards' own."""
    if not cards:
        return None
    state, slots = solved.state, solved.slots
    count = len(cards)
    z_at = [int(slots.card_shift[c - 1][2]) for c in cards]
    mean = np.zeros(slots.count)
    mean[z_at] = 1.0 / count
    z = float(np.mean([_point("", c, solved, mounting).z_mm for c in cards]))
    z_sd = math.sqrt(float(mean @ solved.covariance @ mean))
    normal = np.mean([state.card_turn[c - 1][:, 2] for c in cards], axis=0)
    # a small turn w on top moves a normal n by w × n: about x and y, for a normal near z, by (w_y, -w_x)
    rows = np.zeros((2, slots.count))
    for c in cards:
        rows[0, slots.card_turn[c - 1][1]] = 1.0 / count
        rows[1, slots.card_turn[c - 1][0]] = -1.0 / count
    covariance = rows @ solved.covariance @ rows.T
    lean = math.atan2(math.hypot(normal[0], normal[1]), normal[2])
    falls = math.degrees(math.atan2(normal[0], normal[1])) % 360.0
    return BlockFace(z, LIMIT_SDS * z_sd, math.degrees(lean), math.degrees(radius_95(covariance)), falls)
