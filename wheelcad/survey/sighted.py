"""What each picture shows of the printed sheet, and which pictures are of no use: told in words, none left in doubt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Fault, Faults, JobFileError
from wheelcad.survey.detect import Found, find_tags, is_mirrored
from wheelcad.survey.library import cv2
from wheelcad.survey.pictures import Picture
from wheelcad.survey.sheetfile import Printed
from wheelcad.survey.tags import DISC
from wheelcad.survey.unknowns import Corners, PhotoSetting

LEAST_PICTURES = 2  # with fewer nothing can be placed
FOREIGN = 3  # tags of another sheet that are no chance reading of a bolt head
BENT = 0.02  # share of a piece's size in the picture by which its tags may lie off a flat figure
MIRRORED = "is a mirror image, as front cameras make them: use the back camera, or turn mirroring off"


@dataclass(frozen=True)
class Sighted:
    """Corners of the sheet's tags, and what belongs to what. pictures: those that are used; pieces: those seen, the
    disc first; tags: how many each picture shows; said: what was left out, and why."""

    pictures: tuple[Picture, ...]
    pieces: tuple[str, ...]
    corners: Corners
    setting: PhotoSetting
    focal_share: dict[int, float]
    tags: tuple[int, ...]
    said: tuple[str, ...]


def sight(
    pictures: Sequence[Picture], sheet: Printed, scale: tuple[float, float], scale_sd: tuple[float, float]
) -> Sighted:
    """What the pictures show of the sheet. JobFileError where that is not enough, or is not this sheet."""
    faults, said = Faults(), []
    used: list[tuple[Picture, dict[int, Floats]]] = []
    for picture in pictures:
        found = find_tags(picture.grey, sheet.dictionary)
        own = {int(n): c for n, c in zip(found.numbers, found.corners, strict=True) if int(n) in sheet.on}
        fault, useless = _judged(picture, found, own, sheet)
        if fault is not None:
            faults.extend([fault])
        elif useless:
            said.append(f"{picture.file.name} {useless}: it is left out.")
        else:
            used.append((picture, own))
    faults.raise_if_any(JobFileError)
    if len(used) < LEAST_PICTURES:
        raise JobFileError([_too_few(pictures, said)])
    bent = [fault for picture, own in used for fault in _bent(picture, own, sheet)]
    if bent:
        raise JobFileError(bent)
    seen = {sheet.on[n] for _, own in used for n in own}
    if DISC not in seen:
        why = "the disc is in none of the pictures: everything is measured from it"
        raise JobFileError(Fault(why, hint="take the disc and the cards into one picture, at least twice"))
    return _gathered(used, tuple(p for p in sheet.pieces if p in seen), sheet, scale, scale_sd, said)


def _too_few(pictures: Sequence[Picture], said: list[str]) -> Fault:
    found = "; ".join(line.removesuffix(": it is left out.") for line in said) or f"{len(pictures)}"
    hint = "four to eight pictures from different sides, disc and cards in each, sharp and without zoom"
    least = f"{LEAST_PICTURES} at the very least"
    return Fault("too few pictures show the tags", found=found, allowed=least, hint=hint)


def _judged(picture: Picture, found: Found, own: dict[int, Floats], sheet: Printed) -> tuple[Fault | None, str]:
    """A fault where a picture shows another sheet; else why it is of no use, "" where it is of use."""
    file = str(picture.file)
    doubled = [number for number in found.doubled if number in sheet.on]
    if doubled:
        where = ", ".join(sorted({sheet.on[number] for number in doubled}))
        why = f"shows the tags of {where} twice: two prints are in the picture"
        return Fault(why, file=file, hint="take one of them away"), ""
    foreign = [int(number) for number in found.numbers if int(number) not in sheet.on]
    if len(foreign) >= FOREIGN and len(foreign) > len(own):
        why = "shows the tags of another sheet: the disc or the cards were printed for another job"
        found_words = f"tags {min(foreign)} to {max(foreign)}"
        allowed = f"tags {min(sheet.on)} to {max(sheet.on)}"
        hint = "print this job's sheet with wheelcad sheet JOB --tags, or name its survey-tags.json"
        return Fault(why, file=file, found=found_words, allowed=allowed, hint=hint), ""
    if own:
        return None, ""
    if is_mirrored(picture.grey, sheet.dictionary):
        return None, MIRRORED
    return None, "shows no tag: too far, too dark, blurred, or the tags are not in it"


def _bent(picture: Picture, own: dict[int, Floats], sheet: Printed) -> Iterator[Fault]:
    """Pieces whose tags do not lie to each other as on the sheet: another print, cut up, or far from flat."""
    for piece in sheet.pieces:
        numbers = [number for number in own if sheet.on[number] == piece]
        if len(numbers) < 2:
            continue
        place = np.concatenate([sheet.corners_mm[number] for number in numbers])
        pixel = np.concatenate([own[number] for number in numbers])
        matrix, _ = cv2().findHomography(place, pixel, 0)
        size = float(np.linalg.norm(pixel.max(axis=0) - pixel.min(axis=0)))
        off = np.inf
        if matrix is not None:
            flat = np.concatenate([place, np.ones((len(place), 1))], axis=1) @ matrix.T
            off = float(np.abs(flat[:, :2] / flat[:, 2:] - pixel).max())
        if off > BENT * size:
            name = "the disc" if piece == DISC else f"the card of {piece}"
            why = f"shows {name} otherwise than survey-tags.json says: it is of another print, or bent"
            hint = "use the survey-tags.json that was written with this print; glue it flat on stiff card"
            yield Fault(why, file=str(picture.file), hint=hint)


def _gathered(
    used: list[tuple[Picture, dict[int, Floats]]],
    pieces: tuple[str, ...],
    sheet: Printed,
    scale: tuple[float, float],
    scale_sd: tuple[float, float],
    said: list[str],
) -> Sighted:
    picture, piece, tag, place, pixel = [], [], [], [], []
    index = {number: k for k, number in enumerate(sorted({number for _, own in used for number in own}))}
    for k, (_, own) in enumerate(used):
        for number, corners in sorted(own.items()):
            picture += [k] * 4
            piece += [pieces.index(sheet.on[number])] * 4
            tag += [index[number]] * 4
            place.append(sheet.corners_mm[number])
            pixel.append(corners)
    pictures = tuple(p for p, _ in used)
    cameras = list(dict.fromkeys(p.camera for p in pictures))
    middles = list(dict.fromkeys((p.camera, p.size_px) for p in pictures))
    setting = PhotoSetting(
        size_px=np.array([p.size_px for p in pictures], dtype=float),
        lens=np.array([cameras.index(p.camera) for p in pictures]),
        middle=np.array([middles.index((p.camera, p.size_px)) for p in pictures]),
        page_turn=np.array([sheet.page_turn[name] for name in pieces]),
        scale=scale,
        scale_sd=scale_sd,
    )
    seen = Corners(np.array(picture), np.array(piece), np.array(tag), np.concatenate(place), np.concatenate(pixel))
    share = {cameras.index(p.camera): p.focal_share for p in pictures if p.focal_share}
    return Sighted(pictures, pieces, seen, setting, share, tuple(len(own) for _, own in used), tuple(said))
