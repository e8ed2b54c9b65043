"""Simulated sets of corners: what tags would give if each corner were found to within chance."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.survey.scene import Lens, Scene, engine_scene, phone, round_about
from wheelcad.survey.bundle import BOW_SD, CARD_SD, FLAT_SD, FOCUS_SD
from wheelcad.survey.pictures import Picture
from wheelcad.survey.sighted import Sighted
from wheelcad.survey.tags import Tag, TagSheet
from wheelcad.survey.unknowns import Corners, PhotoSetting

HOLES = {"m1": (-132.0, 84.0, -38.0), "m2": (-130.0, 152.0, -38.0)}  # m2 is 200 mm from the crank
TARGET = np.array([-66.0, 55.0, -20.0])
BAR_SD = (0.1 / 1.96 / 150, 0.1 / 1.96 / 200)  # bars read to a tenth of a millimetre


def corners_of(
    scene: Scene, lens: Lens, poses: list, rng: np.random.Generator, noise_px: float, names: tuple[str, ...]
) -> Corners:
    """The corners of all tags in all pictures, each off by chance; a lens focuses a little otherwise each time."""
    picture, piece, number, place, pixel = [], [], [], [], []
    for k, (turn, shift) in enumerate(poses):
        focused = replace(lens, focal=lens.focal * float(np.exp(rng.normal(0, FOCUS_SD))))
        for tag in scene.sheet.tags:
            if tag.on in names:
                seen = focused.see(
                    scene.corners(tag.on, tag.corners_mm, scene.lift.get(tag.number, 0.0)) @ turn.T + shift
                )
                picture += [k] * 4
                piece += [names.index(tag.on)] * 4
                number += [tag.number - scene.sheet.tags[0].number] * 4
                place.append(tag.corners_mm)
                pixel.append(seen + rng.normal(0, noise_px, (4, 2)))
    return Corners(np.array(picture), np.array(piece), np.array(number), np.concatenate(place), np.concatenate(pixel))


def bowed(sheet: TagSheet, tag: Tag, bow_mm: float) -> np.ndarray:
    """(4, 1) mm by which a tag's corners stand before the plane of a print that is a dome, its edge bow_mm before its
    middle."""
    far = max(float((other.corners_mm**2).sum(axis=1).max()) for other in sheet.tags if other.on == tag.on)
    return bow_mm * ((tag.corners_mm**2).sum(axis=1, keepdims=True) / far - 0.5)


def simulated(
    sheet: TagSheet, rng: np.random.Generator, pictures: int, noise_px: float = 0.15
) -> tuple[Scene, Corners, PhotoSetting]:
    """A scene whose print, cards and lens are off as chance has it, and what is seen of it."""
    scene = engine_scene(sheet, rng, HOLES)
    scene.scale = tuple(np.exp(rng.normal(0, 1, 2) * BAR_SD))
    scene.own = {name: float(np.exp(rng.normal(0, CARD_SD))) for name in HOLES}
    bows = {name: float(rng.normal(0, BOW_SD)) for name in ("disc", *HOLES)}
    scene.lift = {t.number: float(rng.normal(0, FLAT_SD)) + bowed(sheet, t, bows.get(t.on, 0.0)) for t in sheet.tags}
    lens = phone(rng)
    names = ("disc", *HOLES)
    corners = corners_of(scene, lens, round_about(rng, pictures, TARGET), rng, noise_px, names)
    return scene, corners, setting_of(pictures, len(names), lens)


def setting_of(pictures: int, pieces: int, lens: Lens) -> PhotoSetting:
    """One camera, held one way."""
    sizes = np.array([lens.size] * pictures, dtype=float)
    none = np.zeros(pictures, dtype=int)
    return PhotoSetting(sizes, none, none, np.zeros(pieces), (0.0, 0.0), BAR_SD)


def sighted_of(corners: Corners, setting: PhotoSetting) -> Sighted:
    """The corners as if they had been found in pictures called a1.jpg and on."""
    grey = np.zeros((2, 2), dtype=np.uint8)
    pictures = tuple(Picture(Path(f"a{k + 1}.jpg"), grey, (), 0.0) for k in range(setting.pictures))
    tags = tuple(int((corners.picture == k).sum()) // 4 for k in range(setting.pictures))
    return Sighted(pictures, ("disc", *HOLES), corners, setting, {}, tags, ())
