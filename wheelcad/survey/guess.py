"""Where to begin: a focal length, each camera from what lies flat in its picture, each card from its cameras.

A flat thing seen from afar fits two poses about equally well; a card's is chosen by what all pictures say of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.survey.camera import Camera, project
from wheelcad.survey.library import cv2
from wheelcad.survey.unknowns import Corners, PhotoSetting, PhotoState

FOCALS = np.geomspace(0.5, 2.5, 12)  # focal length as a share of the longer side: wide to long
LEAST_CORNERS = 4
NEAR_PX = 0.03  # a placed picture fits within this share of its longer side, before distortion is known

Pose = tuple[Floats, Floats]  # rotation (3, 3), shift (3,)


@dataclass(frozen=True)
class Guess:
    """A first state; placed: which pictures and which cards (by number from 1) could be placed at all."""

    state: PhotoState
    pictures: tuple[int, ...]
    cards: tuple[int, ...]


def guess(seen: Corners, setting: PhotoSetting, focal_share: dict[int, float] | None = None) -> Guess:
    """A first state. focal_share: lens -> focal length as a share of the longer side, where the pictures tell."""
    lenses = int(setting.lens.max()) + 1
    focal = np.empty(lenses)
    longer = setting.size_px.max(axis=1)
    for lens in range(lenses):
        told = (focal_share or {}).get(lens)
        focal[lens] = told if told else _focal(seen, setting, lens)
    poses: dict[int, Pose] = {}
    for k in range(setting.pictures):
        pose = _of_disc(seen, setting, k, float(focal[setting.lens[k]] * longer[k]))
        if pose is not None:
            poses[k] = pose
    cards: dict[int, Pose] = {}
    for _ in range(2 + setting.pictures):  # pictures without the disc hang on cards that others have placed
        before = len(poses) + len(cards)
        _place_cards(seen, setting, focal, poses, cards)
        _place_pictures(seen, setting, focal, poses, cards)
        if len(poses) + len(cards) == before:
            break
    tags = int(seen.tag.max()) + 1
    return Guess(_state(setting, focal, poses, cards, tags), tuple(sorted(poses)), tuple(sorted(cards)))


def _state(
    setting: PhotoSetting, focal: Floats, poses: dict[int, Pose], cards: dict[int, Pose], tags: int
) -> PhotoState:
    longer = np.ones(len(focal))
    longer[setting.lens] = setting.size_px.max(axis=1)
    lost: Pose = (np.eye(3), np.array([0.0, 0.0, 500.0]))
    at = [poses.get(k, lost) for k in range(setting.pictures)]
    on = [cards.get(k, lost) for k in range(1, setting.cards + 1)]
    groups = int(setting.middle.max()) + 1
    return PhotoState(
        focal=np.log(focal * longer),
        bend=np.zeros((len(focal), 2)),
        middle=np.zeros((groups, 2)),
        focus=np.zeros(setting.pictures),
        camera_turn=np.array([pose[0] for pose in at]).reshape(-1, 3, 3),
        camera_shift=np.array([pose[1] for pose in at]).reshape(-1, 3),
        card_turn=np.array([pose[0] for pose in on]).reshape(-1, 3, 3),
        card_shift=np.array([pose[1] for pose in on]).reshape(-1, 3),
        card_size=np.zeros(setting.cards),
        scale=np.array(setting.scale),
        lift=np.zeros(tags),
        bow=np.zeros(setting.cards + 1),
    )


def _focal(seen: Corners, setting: PhotoSetting, lens: int) -> float:
    """The share of the longer side with which the discs of this lens's pictures fit best."""
    best = (np.inf, 0.8)
    for share in FOCALS.tolist():
        total = 0.0
        for k in np.flatnonzero(setting.lens == lens).tolist():
            focal = share * float(setting.size_px[k].max())
            pose = _of_disc(seen, setting, k, focal)
            if pose is not None:
                own = (seen.picture == k) & (seen.piece == 0)
                total += float((_off(setting, k, focal, pose, _flat(seen.place_mm[own]), seen.pixel[own]) ** 2).sum())
        if 0.0 < total < best[0]:
            best = (total, share)
    return best[1]


def _of_disc(seen: Corners, setting: PhotoSetting, picture: int, focal: float) -> Pose | None:
    own = (seen.picture == picture) & (seen.piece == 0)
    if own.sum() < LEAST_CORNERS:
        return None
    poses = flat_poses(seen.place_mm[own], seen.pixel[own], focal, setting.size_px[picture])
    return poses[0] if poses else None


def flat_poses(place_mm: Floats, pixel: Floats, focal: float, size_px: Floats) -> list[Pose]:
    """The poses (piece -> camera) in which something flat looks like this, best first; one or two."""
    library = cv2()
    try:
        count, turns, shifts, _ = library.solvePnPGeneric(
            _flat(place_mm), np.ascontiguousarray(pixel), _matrix(focal, size_px), None, flags=library.SOLVEPNP_IPPE
        )
    except library.error:
        return []
    poses = [(library.Rodrigues(turns[k])[0], shifts[k].ravel()) for k in range(count)]
    # a print is seen from its front, and lies before the camera
    return [pose for pose in poses if pose[1][2] > 0 and np.all(np.isfinite(pose[1])) and _front(pose)]


def _matrix(focal: float, size_px: Floats) -> Floats:
    """What the library calls a camera: its focal length, and its middle in the picture's."""
    return np.array([[focal, 0, (size_px[0] - 1) / 2], [0, focal, (size_px[1] - 1) / 2], [0, 0, 1.0]])


def _front(pose: Pose) -> bool:
    """Whether the piece's front (its z) looks towards the camera."""
    return float(pose[0][:, 2] @ pose[1]) < 0


def _flat(place_mm: Floats) -> Floats:
    return np.concatenate([place_mm, np.zeros((len(place_mm), 1))], axis=1)


def _off(setting: PhotoSetting, picture: int, focal: float, pose: Pose, points: Floats, pixel: Floats) -> Floats:
    """How far off points of the world appear in a picture, px."""
    width, height = setting.size_px[picture]
    camera = Camera(focal, 0.0, 0.0, ((width - 1) / 2, (height - 1) / 2), *pose)
    off = np.linalg.norm(project(points, camera) - pixel, axis=1)
    return np.asarray(np.nan_to_num(off, nan=1e6), dtype=float)


def _place_cards(
    seen: Corners, setting: PhotoSetting, focal: Floats, poses: dict[int, Pose], cards: dict[int, Pose]
) -> None:
    """Place every card that a placed picture shows: the pose, among those of its pictures, that all of them fit."""
    for card in range(1, setting.cards + 1):
        views = [k for k in poses if ((seen.picture == k) & (seen.piece == card)).sum() >= LEAST_CORNERS]
        if card in cards or not views:
            continue
        best: tuple[float, Pose | None] = (np.inf, None)
        for k in views:
            own = (seen.picture == k) & (seen.piece == card)
            share = float(focal[setting.lens[k]] * setting.size_px[k].max())
            for turn, shift in flat_poses(seen.place_mm[own], seen.pixel[own], share, setting.size_px[k]):
                world = (poses[k][0].T @ turn, poses[k][0].T @ (shift - poses[k][1]))
                total = 0.0
                for other in views:
                    theirs = (seen.picture == other) & (seen.piece == card)
                    points = _flat(seen.place_mm[theirs]) @ world[0].T + world[1]
                    length = float(focal[setting.lens[other]] * setting.size_px[other].max())
                    off = _off(setting, other, length, poses[other], points, seen.pixel[theirs])
                    total += float(np.minimum(off, 0.1 * setting.size_px[other].max()).sum())
                if total < best[0]:
                    best = (total, world)
        if best[1] is not None:
            cards[card] = best[1]


def _place_pictures(
    seen: Corners, setting: PhotoSetting, focal: Floats, poses: dict[int, Pose], cards: dict[int, Pose]
) -> None:
    """Place every picture that does not show the disc but cards that are placed."""
    library = cv2()
    for k in range(setting.pictures):
        own = (seen.picture == k) & np.isin(seen.piece, list(cards))
        if k in poses or own.sum() < 2 * LEAST_CORNERS:
            continue
        points = np.array(
            [
                cards[piece][0] @ [*place, 0.0] + cards[piece][1]
                for piece, place in zip(seen.piece[own].tolist(), seen.place_mm[own].tolist(), strict=True)
            ]
        )
        width, height = setting.size_px[k]
        length = float(focal[setting.lens[k]] * max(width, height))
        matrix = _matrix(length, setting.size_px[k])
        try:
            found, turn, shift = library.solvePnP(
                points, np.ascontiguousarray(seen.pixel[own]), matrix, None, flags=library.SOLVEPNP_SQPNP
            )
        except library.error:
            continue
        pose = (library.Rodrigues(turn)[0], shift.ravel())
        if found and _off(setting, k, length, pose, points, seen.pixel[own]).mean() < NEAR_PX * max(width, height):
            poses[k] = pose
