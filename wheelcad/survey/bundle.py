"""All pictures and all pieces solved together: cameras, lens, places and tilts of the cards, the printer's scale.

The world is the disc: origin on the crank axis, x to the right and y up the TDC line seen from the front, z towards the
person, 0 in the plane of the disc's print. Pieces are numbered 0 for the disc and on from 1 for the cards. What is
known beforehand (how far a lens's middle may lie off, what the bars say of the printer) enters as readings of their own
with their ±, so that the covariance of what comes out holds all of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from wheelcad.arrays import Floats, Ints
from wheelcad.survey.camera import Camera, pixels_of, turned
from wheelcad.survey.unknowns import Corners, PhotoSetting, PhotoState, Slots, slots_of

# standard deviations of what is known beforehand
K1_SD, K2_SD = 0.3, 0.3  # radial distortion of any lens: 3 % in a corner is a k1 of about 0.06
CENTRE_SD = 0.005  # lens middle off the picture's middle, as a share of the picture's longer side
FOCUS_SD = 0.005  # focal length from picture to picture of one camera, as it focuses
FOCAL_SD = 1.0  # log focal length: as good as nothing
CARD_SD = 0.002  # size of one card against the disc: paper that took up glue or damp
FLAT_SD = 0.05  # mm by which a tag of a print glued to card lies before or behind the print's plane: 0.1 mm in 95 %
BOW_SD = 0.1  # mm by which a print's edge stands before or behind its middle: card and glue make domes of a print
LEAST_PX = 0.03  # no corner is found better
ROBUST = 3.0  # standard deviations beyond which a corner counts less (Huber)


class Bundle:
    """The residuals of a set of corners about a base state, and their exact change with every unknown.

    Residuals are in standard deviations: two a corner, then one for everything known beforehand.
    """

    def __init__(self, seen: Corners, setting: PhotoSetting, base: PhotoState, corner_sd_px: float) -> None:
        self.seen, self.setting, self.base, self.sd = seen, setting, base, corner_sd_px
        self.slots = slots_of(base)
        self.longer = setting.size_px.max(axis=1)
        half = (setting.size_px - 1.0) / 2
        self.half = half[seen.picture]
        self.lens = setting.lens[seen.picture]
        self.group = setting.middle[seen.picture]
        self.on_card = seen.piece > 0
        self.card = np.maximum(seen.piece - 1, 0)
        turn = setting.page_turn[seen.piece]
        c, s = np.cos(turn), np.sin(turn)
        # the place in page directions, and those directions in the piece
        self.to_piece = np.stack([np.stack([c, -s], 1), np.stack([s, c], 1)], 1)
        self.on_page = np.einsum("nji,nj->ni", self.to_piece, seen.place_mm)
        self.dome = domed(seen)

    def state(self, row: Floats) -> PhotoState:
        """The state that a row of unknowns means."""
        at = self.slots
        camera_turn, _ = turned(row[at.camera_turn])
        card_turn, _ = turned(row[at.card_turn]) if len(at.card_turn) else (np.zeros((0, 3, 3)), None)
        values = {name: row[places] for name, places in at.arrays().items()}
        values["camera_turn"] = camera_turn @ self.base.camera_turn
        values["card_turn"] = card_turn @ self.base.card_turn if len(at.card_turn) else self.base.card_turn
        return PhotoState(**values)

    def _parts(self, row: Floats) -> dict[str, Floats]:
        """What residuals and their change are both made of."""
        at, seen = self.slots, self.seen
        state = self.state(row)
        printed = self.on_page * np.exp(state.scale)  # (n, 2) in page directions
        flat = np.einsum("nij,nj->ni", self.to_piece, printed)
        size = np.where(self.on_card, np.exp(state.card_size[self.card]) if len(state.card_size) else 1.0, 1.0)
        before = state.lift[seen.tag] + state.bow[seen.piece] * self.dome
        local = np.concatenate([flat * size[:, None], before[:, None]], axis=1)
        world, turn_p = local.copy(), np.tile(np.eye(3), (len(flat), 1, 1))
        if len(state.card_turn):
            card = self.card[self.on_card]
            turn_p[self.on_card] = state.card_turn[card]
            world[self.on_card] = np.einsum("nij,nj->ni", turn_p[self.on_card], local[self.on_card])
        arm = world.copy()  # from the card's origin, in the world's directions
        if len(state.card_shift):
            world[self.on_card] += state.card_shift[self.card[self.on_card]]
        turn_c = state.camera_turn[seen.picture]
        swung = np.einsum("nij,nj->ni", turn_c, world)
        in_camera = swung + state.camera_shift[seen.picture]
        focal = np.exp(state.focal[self.lens] + state.focus[seen.picture])
        offset, by_point, by_lens = pixels_of(in_camera, focal, state.bend[self.lens, 0], state.bend[self.lens, 1])
        middle = state.middle[self.group] * self.longer[seen.picture][:, None]
        _, lean_c = turned(row[at.camera_turn])
        return {
            "pixel": offset + middle + self.half,
            "by_point": by_point,
            "by_lens": by_lens,
            "turn_c": turn_c,
            "turn_p": turn_p,
            "swung": swung,
            "arm": arm,
            "local": local,
            "printed": printed,
            "size": size,
            "lean_c": lean_c,
        }

    def residuals(self, row: Floats) -> Floats:
        """Fitted less seen, then what is known beforehand, in standard deviations."""
        off = (self._parts(row)["pixel"] - self.seen.pixel) / self.sd
        return np.concatenate([off.ravel(), self._known(row)])

    def _beforehand(self) -> Iterator[tuple[Ints, Floats | float, Floats | float]]:
        """Unknowns of which something is known: where they stand, what is expected of them, and its standard
        deviation."""
        at, setting = self.slots, self.setting
        yield at.focal, self.base_focal, FOCAL_SD
        yield at.bend[:, 0], 0.0, K1_SD
        yield at.bend[:, 1], 0.0, K2_SD
        yield at.middle, 0.0, CENTRE_SD
        yield at.focus, 0.0, FOCUS_SD
        yield at.card_size, 0.0, CARD_SD
        yield at.lift, 0.0, FLAT_SD
        yield at.bow, 0.0, BOW_SD
        yield at.scale, np.array(setting.scale), np.array(setting.scale_sd)

    def _known(self, row: Floats) -> Floats:
        return np.concatenate([((row[at] - wanted) / sd).ravel() for at, wanted, sd in self._beforehand()])

    @property
    def base_focal(self) -> Floats:
        """Log of the longer side: about what a phone has."""
        out = np.zeros(len(self.base.focal))
        out[self.setting.lens] = np.log(self.longer)
        return out

    def jacobian(self, row: Floats) -> Floats:
        """The change of every residual with every unknown, exactly."""
        at, seen, part = self.slots, self.seen, self._parts(row)
        n = len(seen.picture)
        out = np.zeros((n, 2, at.count))
        which = np.arange(n)[:, None]

        def put(columns: Ints, change: Floats) -> None:
            """change: (n, 2, k) at columns (n, k)."""
            for k in range(columns.shape[1]):
                out[which[:, 0], :, columns[:, k]] += change[:, :, k]

        put(np.stack([at.focal[self.lens], *at.bend[self.lens].T], 1), part["by_lens"])
        put(at.focus[seen.picture][:, None], part["by_lens"][:, :, :1])
        put(at.middle[self.group], np.eye(2)[None] * self.longer[seen.picture][:, None, None])
        by_point = part["by_point"]
        put(at.camera_shift[seen.picture], by_point)
        put(at.camera_turn[seen.picture], -_crossed(by_point, part["swung"]) @ part["lean_c"][seen.picture])
        by_world = by_point @ part["turn_c"]
        by_local = by_world @ part["turn_p"]
        on = self.on_card
        if on.any():
            card = self.card[on]
            _, lean_p = turned(row[at.card_turn])
            for columns, change in (
                (at.card_shift[card], by_world[on]),
                (at.card_turn[card], -_crossed(by_world[on], part["arm"][on]) @ lean_p[card]),
                (at.card_size[card][:, None], (by_local[on][:, :, :2] @ part["local"][on][:, :2, None])),
            ):
                for k in range(columns.shape[1]):
                    out[np.flatnonzero(on), :, columns[:, k]] += change[:, :, k]
        put(at.lift[seen.tag][:, None], by_local[:, :, 2:])
        put(at.bow[seen.piece][:, None], by_local[:, :, 2:] * self.dome[:, None, None])
        for k in range(2):  # the print's scale along each direction of the page
            along = self.to_piece[:, :, k] * (part["printed"][:, k] * part["size"])[:, None]
            out[:, :, at.scale[k]] += np.einsum("nij,nj->ni", by_local[:, :, :2], along)
        return np.concatenate([out.reshape(2 * n, at.count) / self.sd, self._known_change()])

    def _known_change(self) -> Floats:
        known = [(at.ravel(), np.broadcast_to(sd, at.shape).ravel()) for at, _, sd in self._beforehand()]
        columns, sds = (np.concatenate(parts) for parts in zip(*known, strict=True))
        out = np.zeros((len(columns), self.slots.count))
        out[np.arange(len(columns)), columns] = 1.0 / sds
        return out


def domed(seen: Corners) -> Floats:
    """(n,) how far each corner stands before its piece's plane, of the piece's bow: as the square of the distance
    from the middle, half before and half behind, as nobody knows whether middle or edge lies on what is underneath."""
    squares = (seen.place_mm**2).sum(axis=1)
    widest = np.zeros(int(seen.piece.max()) + 1)
    np.maximum.at(widest, seen.piece, squares)
    return np.asarray(squares / widest[seen.piece] - 0.5)


def _crossed(rows: Floats, v: Floats) -> Floats:
    """Rows r (n, 2, 3) and v (n, 3): the rows r·[v]×, which take r·(v × w) of any w; that is r × v."""
    return np.asarray(np.cross(rows, v[:, None, :], axis=2), dtype=float)


@dataclass(frozen=True)
class Solved:
    """The best state, its covariance over `slots`, and residuals (n, 2) px. corner_sd_px: how well corners fit."""

    state: PhotoState
    slots: Slots
    covariance: Floats
    off_px: Floats
    corner_sd_px: float

    def camera(self, setting: PhotoSetting, picture: int) -> Camera:
        """The camera of one picture; its world is the disc's."""
        state, lens = self.state, int(setting.lens[picture])
        width, height = setting.size_px[picture]
        middle = state.middle[setting.middle[picture]] * max(width, height)
        return Camera(
            focal_px=float(np.exp(state.focal[lens] + state.focus[picture])),
            k1=float(state.bend[lens, 0]),
            k2=float(state.bend[lens, 1]),
            centre_px=(float((width - 1) / 2 + middle[0]), float((height - 1) / 2 + middle[1])),
            rotation=state.camera_turn[picture],
            shift_mm=state.camera_shift[picture],
        )


def solve_bundle(seen: Corners, setting: PhotoSetting, first: PhotoState, rough_px: float = 2.0) -> Solved:
    """The state that fits best, from a first guess. Twice: roughly, to learn how well corners fit, then with that.

    Corners that fit badly count less (Huber's loss); the covariance is that of the last, with what they count for. The
    changes are exact and taken whole: with some hundred unknowns that is five times as fast as sparse steps.
    """
    state, sd = first, rough_px
    for _ in range(3):
        bundle = Bundle(seen, setting, state, sd)
        result = least_squares(
            bundle.residuals,
            state.vector(),
            bundle.jacobian,
            method="trf",
            x_scale="jac",
            loss="huber",
            f_scale=ROBUST,
            ftol=1e-10,
            xtol=1e-10,
            gtol=1e-10,
            max_nfev=60,
        )
        state = bundle.state(result.x)
        off = bundle.residuals(result.x)[: 2 * len(seen.picture)].reshape(-1, 2) * sd
        before, sd = sd, max(LEAST_PX, _spread(off, bundle.slots.count))
        if abs(sd - before) < 0.02 * before:
            break
    bundle = Bundle(seen, setting, state, sd)
    row = state.vector()
    residuals, change = bundle.residuals(row), bundle.jacobian(row)
    weight = np.minimum(1.0, ROBUST / np.maximum(np.abs(residuals), 1e-12))
    covariance = _inverse(change.T @ (change * weight[:, None]))
    return Solved(state, bundle.slots, covariance, off, sd)


def _inverse(normal: Floats) -> Floats:
    """The inverse of a normal matrix whose unknowns are of very different size; what nothing is known of gets a
    variance beyond all use, and spoils nothing else."""
    size = np.sqrt(np.diag(normal))
    size = np.where(size > 0, size, 1e-6)
    scaled = normal / np.outer(size, size) + 1e-13 * np.eye(len(size))
    return np.asarray(np.linalg.inv(scaled) / np.outer(size, size), dtype=float)


def _spread(off_px: Floats, unknowns: int) -> float:
    """Standard deviation of corners, px, that a few bad ones do not spoil: squares are cut at three of it, twice.

    The unknowns took up some of the scatter; what is known beforehand gave some of it back, which is left out.
    """
    flat = off_px.ravel()
    # never below what the middle half says, and never fooled by a tenth that is wild
    sd = 1.4826 * float(np.median(np.abs(flat)))
    for _ in range(4):
        kept = flat[np.abs(flat) <= 3.5 * max(sd, 1e-9)]
        sd = float(np.sqrt(np.mean(kept**2)))
    free = max(len(flat) - unknowns, 1)
    return sd * float(np.sqrt(len(flat) / free))
