"""What pictures say against each other: pieces that moved, prints of different scale, pictures that fit nowhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wheelcad.errors import Fault, JobFileError
from wheelcad.survey.bundle import CARD_SD, Solved
from wheelcad.survey.guess import Guess, guess
from wheelcad.survey.sighted import Sighted
from wheelcad.survey.tags import DISC
from wheelcad.words import length, quantity

Floats = NDArray[np.float64]

APART_SDS = 6.0  # a piece whose corners lie off by more of their scatter stands elsewhere in that picture
APART_PX = 0.6  # and by no less than this: paper is not so flat
NOWHERE_PX = 2.5  # corners that fit worse than this on the whole mean that nothing was found
OTHER_SCALE = 4.0 * CARD_SD  # log: a card so much larger or smaller than the disc was printed otherwise


def unplaced(sighted: Sighted, first: Guess) -> tuple[Sighted, Guess]:
    """Without pictures and cards that nothing ties to the disc, which are said; both are numbered anew."""
    pictures = list(first.pictures)
    cards = list(first.cards)
    if len(pictures) < 2 or not cards:
        why = "no card is seen together with the disc" if not cards else "the pictures do not hang together"
        hint = "disc and cards in every picture; two pictures without the disc share at least two cards with others"
        raise JobFileError(Fault(why, hint=hint))
    if len(pictures) == len(sighted.pictures) and len(cards) == len(sighted.pieces) - 1:
        return sighted, first
    said = list(sighted.said)
    for k, picture in enumerate(sighted.pictures):
        if k not in pictures:
            said.append(f"{picture.file.name} shows too little of the disc or of cards that others show: left out.")
    for c, name in enumerate(sighted.pieces):
        if c and c not in cards:
            said.append(f"{name} is seen in no picture that could be placed: it has no place.")
    seen = sighted.corners
    kept = np.isin(seen.picture, pictures) & np.isin(seen.piece, [0, *cards])
    corners = seen.only(kept)
    corners = replace(
        corners,
        picture=np.searchsorted(pictures, corners.picture),
        piece=np.searchsorted([0, *cards], corners.piece),
    )
    setting = sighted.setting
    lens, middle = (np.unique(part[pictures], return_inverse=True)[1] for part in (setting.lens, setting.middle))
    fewer = replace(
        sighted,
        pictures=tuple(sighted.pictures[k] for k in pictures),
        pieces=(DISC, *(sighted.pieces[c] for c in cards)),
        corners=corners,
        setting=replace(
            setting,
            size_px=setting.size_px[pictures],
            lens=lens,
            middle=middle,
            page_turn=setting.page_turn[[0, *cards]],
        ),
        focal_share={},
        tags=tuple(sighted.tags[k] for k in pictures),
        said=tuple(said),
    )
    return fewer, guess(fewer.corners, fewer.setting)


def contradictions(sighted: Sighted, solved: Solved) -> list[Fault]:
    """Everything that makes the places worth nothing."""
    if solved.corner_sd_px > NOWHERE_PX:
        return [_nowhere(sighted, solved)]
    scale = _scale(sighted, solved)
    return scale or _moved(sighted, solved)


def _nowhere(sighted: Sighted, solved: Solved) -> Fault:
    found = f"corners lie {solved.corner_sd_px:.1f} px off"
    hint = (
        "was something moved between the pictures, or a picture zoomed or cropped? Take them again, all with the same "
        "lens, and touch nothing between them"
    )
    return Fault("the pictures do not fit together", found=found, allowed="under 1 px", hint=hint)


def _scale(sighted: Sighted, solved: Solved) -> list[Fault]:
    """Cards that are of another size than the disc says."""
    odd = {
        sighted.pieces[c]: float(np.expm1(solved.state.card_size[c - 1]))
        for c in range(1, len(sighted.pieces))
        if abs(solved.state.card_size[c - 1]) > OTHER_SCALE
    }
    if not odd:
        return []
    cards = ", ".join(odd)
    worst = max(odd.values(), key=abs)
    way = "larger" if worst > 0 else "smaller"
    why = f"the card{'s' * (len(odd) > 1)} of {cards} and the disc were printed at different scales"
    found = f"{quantity(100 * abs(worst), 'share')} {way} than the disc"
    hint = "print all pages again in one go, at 100 %, and use nothing of the other print"
    return [Fault(why, found=found, hint=hint)]


def _moved(sighted: Sighted, solved: Solved) -> list[Fault]:
    """Pieces that stand otherwise in some pictures than in others."""
    seen = sighted.corners
    limit = max(APART_PX, APART_SDS * solved.corner_sd_px)
    bad: dict[int, dict[int, float]] = {}
    for c in range(len(sighted.pieces)):
        for k in range(len(sighted.pictures)):
            own = (seen.picture == k) & (seen.piece == c)
            if not own.any():
                continue
            off = solved.off_px[own]
            if float(np.sqrt(np.mean(np.sum(off**2, axis=1)))) > limit:
                bad.setdefault(c, {})[k] = _mm(sighted, solved, k, off)
    out = []
    everywhere = {k for k in range(len(sighted.pictures)) if _all_bad(seen.picture, seen.piece, bad, k)}
    for k in sorted(everywhere):
        name = sighted.pictures[k].file.name
        why = f"{name} does not fit the others: something was moved before or after it, or it is zoomed or cropped"
        hint = "the crank and every card stay as they are for all pictures; take this one again, or leave it out"
        out.append(Fault(why, hint=hint))
    for c, views in bad.items():
        left = {k: mm for k, mm in views.items() if k not in everywhere}
        if left:
            out.append(_moved_fault(sighted, c, left))
    return out


def _all_bad(picture: NDArray[np.int64], piece: NDArray[np.int64], bad: dict[int, dict[int, float]], k: int) -> bool:
    """Whether all that a picture shows stands otherwise in it."""
    shown = np.unique(piece[picture == k]).tolist()
    return len(shown) > 1 and all(k in bad.get(c, {}) for c in shown)


def _mm(sighted: Sighted, solved: Solved, picture: int, off_px: Floats) -> float:
    """About how far off that is at the distance of the disc, mm."""
    camera = solved.camera(sighted.setting, picture)
    shift = float(np.linalg.norm(off_px.mean(axis=0)))
    spread = float(np.sqrt(np.mean(np.sum(off_px**2, axis=1))))
    return max(shift, spread) * float(np.linalg.norm(camera.place_mm)) / camera.focal_px


def _moved_fault(sighted: Sighted, card: int, views: dict[int, float]) -> Fault:
    name = "the disc" if sighted.pieces[card] == DISC else f"the card of {sighted.pieces[card]}"
    shown = len(np.unique(sighted.corners.picture[sighted.corners.piece == card]))
    files = _list([sighted.pictures[k].file.name for k in sorted(views)])
    far = length(max(views.values()), 1)
    if len(views) < shown:
        why = f"{name} stands elsewhere in {files} than in the other pictures: it was moved"
    else:
        why = f"{name} stands in different places in {files}: it was moved between them"
    hint = "take all pictures again and touch nothing between them"
    if card == 0:
        hint += "; the crank stays at top dead centre"
    return Fault(why, found=f"about {far}", hint=hint)


def _list(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
