"""What pictures say against each other: pieces that moved, prints of different scale, pictures that fit nowhere."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.errors import Fault, JobFileError
from wheelcad.survey.bundle import BOW_SD, CARD_SD, FLAT_SD, LEAST_PX, Bundle, Solved, solve_bundle
from wheelcad.survey.guess import Guess, guess
from wheelcad.survey.sighted import Sighted
from wheelcad.survey.tags import DISC
from wheelcad.words import length, quantity

NOWHERE_PX = 2.5  # corners that fit worse than this on the whole mean that nothing was found
AT_ODDS = 1.5  # times their own scatter: where corners lie off by more, whole pieces do, and it is asked why
EXPLAINED = 1.3  # what is left of that when the right piece is taken out
ALIKE = 1.1  # explanations whose rest differs by less cannot be told apart
MOST_TRIED = 6  # pieces in pictures, the worst first
TOO_FAR_MM = (
    0.12  # as a whole, at the distance of the disc, with no explanation: more than paper that is not quite flat
)
COHERENT_FROM = 1.2  # times their own scatter, from which pieces are taken to lie off as wholes
OWN_NUMBERS = 6.0  # that a piece as a whole has in a picture: shifts, turn and stretch
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
    if at_odds(sighted, solved) > AT_ODDS:
        moved = _moved(sighted, solved)
        if moved:
            return moved
        if solved.corner_sd_px * _mm_a_px(sighted, solved) > TOO_FAR_MM:
            return [*_scale(sighted, solved), _nowhere(sighted, solved)][:1]
    if solved.corner_sd_px > NOWHERE_PX:
        return [_nowhere(sighted, solved)]
    return _scale(sighted, solved)


def at_odds(sighted: Sighted, solved: Solved) -> float:
    """How far corners lie off over their scatter within a piece and picture: 1 where nothing but chance is at work."""
    return solved.corner_sd_px / max(_scatter(sighted, solved), LEAST_PX)


def clustered(sighted: Sighted, solved: Solved) -> float:
    """By how much the variances grow where pieces lie off as wholes: then a piece with many corners tells little more
    than one with few. 1 where corners are independent. Kish's design effect of cluster sampling, 1965 (from memory)."""
    ratio = at_odds(sighted, solved)
    if ratio < COHERENT_FROM:
        return 1.0
    seen = sighted.corners
    blocks = len(np.unique(seen.picture * len(sighted.pieces) + seen.piece))
    size = 2.0 * len(seen.piece) / blocks
    return 1.0 + (1.0 - 1.0 / ratio**2) * max(size / OWN_NUMBERS - 1.0, 0.0)


def unflat(solved: Solved) -> float:
    """How far from flat the prints turned out, over what is assumed of them; never under 1."""
    bow = float(np.sqrt(np.mean(solved.state.bow**2))) / BOW_SD
    return max(1.0, float(np.sqrt(np.mean(solved.state.lift**2))) / FLAT_SD, bow)


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
    """What, taken out, makes all the rest fit: a piece in one picture, a picture, or a piece altogether."""
    limit = EXPLAINED * max(_scatter(sighted, solved), LEAST_PX)
    seen, pieces = sighted.corners, range(len(sighted.pieces))
    blocks = [(k, c) for k in range(len(sighted.pictures)) for c in pieces]
    worst = sorted(blocks, key=lambda b: -_off(seen.picture, seen.piece, solved.off_px, *b))[:MOST_TRIED]
    tries = [_without(sighted, solved, (seen.picture == k) & (seen.piece == c)) for k, c in worst]
    named = _best(tries, limit)
    if named:
        return [_moved_fault(sighted, [worst[i] for i in named], tries[named[0]])]
    tries = [_without(sighted, solved, seen.picture == k) for k in range(len(sighted.pictures))]
    for i in _best(tries, limit)[:1]:
        name = sighted.pictures[i].file.name
        why = f"{name} does not fit the others: something was moved before or after it, or it is zoomed or cropped"
        hint = "the crank and every card stay as they are for all pictures; take this one again, or leave it out"
        return [Fault(why, hint=hint)]
    tries = [_without(sighted, solved, seen.piece == c) for c in pieces if c]
    for i in _best(tries, limit)[:1]:
        why = f"the card of {sighted.pieces[i + 1]} does not stand in one place in all pictures: it was moved"
        return [Fault(why, hint="take all pictures again and touch nothing between them")]
    return []


def _off(picture: Ints, piece: Ints, off_px: Floats, k: int, c: int) -> float:
    """How far a piece lies off in a picture, px; -1 where it is not in it."""
    own = (picture == k) & (piece == c)
    return float(np.sqrt(np.mean(np.sum(off_px[own] ** 2, axis=1)))) if own.any() else -1.0


def _without(sighted: Sighted, solved: Solved, out: Bools) -> tuple[float, Solved | None]:
    """How well corners fit without some, px, and that solution; inf where too little would be left."""
    kept = sighted.corners.only(~out)
    left = kept.piece * len(sighted.pictures) + kept.picture
    blocks = {(int(b) // len(sighted.pictures), int(b) % len(sighted.pictures)) for b in np.unique(left)}
    views = [sum(1 for c, _ in blocks if c == card) for card in range(len(sighted.pieces))]
    if not out.any() or views[0] < 2 or len({k for _, k in blocks}) < 2:
        return np.inf, None
    trial = solve_bundle(kept, sighted.setting, solved.state, solved.corner_sd_px)
    return trial.corner_sd_px, trial


def _best(tries: list[tuple[float, Solved | None]], limit: float) -> list[int]:
    """Which tries explain what is seen, the best first; those that cannot be told from it with it."""
    order = sorted(range(len(tries)), key=lambda i: tries[i][0])
    return [i for i in order if tries[i][0] <= min(limit, ALIKE * tries[order[0]][0])]


def _scatter(sighted: Sighted, solved: Solved) -> float:
    """How far corners lie off, px, apart from what a piece as a whole lies off in a picture: the middle of all pieces.

    A piece as a whole may be shifted, turned and stretched: six numbers of a picture's, taken off by least squares.
    """
    seen, each = sighted.corners, []
    for c in range(len(sighted.pieces)):
        for k in range(len(sighted.pictures)):
            own = (seen.picture == k) & (seen.piece == c)
            if own.sum() < 4:
                continue
            place = np.concatenate([seen.place_mm[own], np.ones((int(own.sum()), 1))], axis=1)
            off = solved.off_px[own]
            left = off - place @ np.linalg.lstsq(place, off, rcond=None)[0]
            each.append(float(np.sqrt(np.sum(left**2) / (2 * len(left) - OWN_NUMBERS))))
    return float(np.median(each)) if each else solved.corner_sd_px


def _mm_a_px(sighted: Sighted, solved: Solved) -> float:
    """What a pixel is at the distance of the disc, mm: the mean of all pictures."""
    cameras = [solved.camera(sighted.setting, k) for k in range(len(sighted.pictures))]
    return float(np.mean([np.linalg.norm(camera.place_mm) / camera.focal_px for camera in cameras]))


def _moved_fault(sighted: Sighted, blocks: list[tuple[int, int]], found: tuple[float, Solved | None]) -> Fault:
    """A piece that stands elsewhere in one picture; several, where any of them would explain what is seen."""
    names = {c: "the disc" if sighted.pieces[c] == DISC else f"the card of {sighted.pieces[c]}" for _, c in blocks}
    files = list(dict.fromkeys(sighted.pictures[k].file.name for k, _ in blocks))
    where = f"{' or '.join(names.values())} stands elsewhere in {' or '.join(files)}"
    why = f"{where} than in the other pictures: it was moved"
    hint = "take all pictures again and touch nothing between them"
    if 0 in names:
        hint += "; the crank stays at top dead centre"
    return Fault(why, found=_how_far(sighted, blocks[0], found[1]), hint=hint)


def _how_far(sighted: Sighted, block: tuple[int, int], trial: Solved | None) -> str:
    """How far off the piece is in its picture, as what fits the rest has it."""
    if trial is None:
        return ""
    k, c = block
    seen = sighted.corners
    own = (seen.picture == k) & (seen.piece == c)
    bundle = Bundle(seen.only(own), sighted.setting, trial.state, 1.0)
    off = bundle.residuals(trial.state.vector())[: 2 * int(own.sum())].reshape(-1, 2)
    camera = trial.camera(sighted.setting, k)
    far = float(np.linalg.norm(off.mean(axis=0))) * float(np.linalg.norm(camera.place_mm)) / camera.focal_px
    return f"about {length(far, 1)} off"
