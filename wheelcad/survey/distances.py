"""Where the block's holes are, from distances: the answer, its 95 % figures, and everything that is wrong with it.

every minimum  ->  a reading that cannot be true  ->  points the readings do not fix  ->  two possible answers
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import DesignError, Fault
from wheelcad.survey.adjust import Net, NetFit, fits, rows, starting_places
from wheelcad.survey.model import Better, Distances, DistanceSurvey, Point, Residual
from wheelcad.survey.snoop import redundancy, snoop
from wheelcad.survey.spread import radius_95
from wheelcad.survey.words import READ, clock, place, told
from wheelcad.trade.frames import apart_deg
from wheelcad.words import length

ALSO_POSSIBLE = 13.8  # chi²: an answer worse by less than this (odds of 1000 to 1) may be the true one
LOOSE = 60.0  # readings' ± that a point's place may be off by before it counts as not fixed
POOR = 8.0  # a point off by more readings' ± than this deserves another reading
APART = 4.0  # answers closer than so many of their own ± run into each other: no clock tells them apart
CLOCK_SLIP = 60.0  # degrees that a clock may be off by
KEY = ("survey", "readings")


def solve_distances(given: Distances) -> DistanceSurvey:
    """The places of the sought points. DesignError with every fault where the readings leave one open.

    A reading that cannot be true is no error but a suspect: the survey is then not `sound`.
    """
    net = Net(given)
    starts = starting_places(net)
    first = fits(net, starts)
    groups, dropped, minima = snoop(given, first)
    kept = Net(given.without(dropped))
    if len(kept.read) <= kept.unknowns and minima[0].chi2 > ALSO_POSSIBLE:
        raise DesignError(_impossible(given, minima[0]))
    ambiguous = bool(groups) and len(groups[-1]) > 1
    loose = _not_fixed(kept, minima[0])
    try:
        if loose:
            raise DesignError(loose)
        fit = minima[0] if ambiguous else _one_answer(kept, minima)
    except DesignError as error:  # what is wrong beside that must not go unsaid
        wrong = [Fault("; or ".join(map(told, group)), KEY, hint="read again") for group in groups]
        raise DesignError([*wrong, *error.faults]) from None
    spare = len(kept.read) - kept.unknowns
    # more than chance allows and no reading to blame: the ± grow until they hold what is seen
    disagree = math.sqrt(fit.chi2 / spare) if spare and fit.chi2 > spare + 4.0 * math.sqrt(2.0 * spare) else 1.0
    covariance = _covariance(kept, fit) * disagree**2
    points = tuple(
        Point(name, float(fit.at[2 * k]), float(fit.at[2 * k + 1]), given.sought[name], radius_95(own), own)
        for k, name in enumerate(given.names)
        for own in (covariance[2 * k : 2 * k + 2, 2 * k : 2 * k + 2],)
    )
    worst = max(points, key=lambda point: point.within_95_mm)
    poor = worst.within_95_mm > POOR * given.read_to_mm
    better = _better(kept, fit, worst.name) if poor else None
    return DistanceSurvey(
        points, _residuals(net, kept, fit, dropped), groups, spare, given.read_to_mm, disagree, better
    )


def _residuals(net: Net, kept: Net, fit: NetFit, dropped: frozenset[int]) -> tuple[Residual, ...]:
    lengths = net.lengths(fit.at)
    shares = iter(redundancy(kept.directions(fit.at)).tolist())
    checked = [1.0 if k in dropped else next(shares) for k in range(len(net.read))]
    return tuple(
        Residual(reading, float(length), share)
        for reading, length, share in zip(net.given.readings, lengths, checked, strict=True)
    )


def _covariance(net: Net, fit: NetFit) -> Floats:
    """Of x, y of all points in a row, mm²."""
    return np.asarray(np.linalg.pinv(_normal(net, fit.at)), dtype=float)


def _normal(net: Net, at: Floats) -> Floats:
    rows_of = net.jacobian(at)
    return np.asarray(rows_of.T @ rows_of, dtype=float)


def _not_fixed(net: Net, fit: NetFit) -> list[Fault]:
    """A fault for every point that can move about more than `LOOSE` readings' ± without any reading noticing."""
    directions = net.directions(fit.at)
    _, s, vt = np.linalg.svd(np.vstack([directions, np.zeros((net.unknowns, net.unknowns))]), full_matrices=False)
    free = vt[s < 1.0 / LOOSE]
    if not len(free):
        return []
    motion = np.sqrt((free.reshape(len(free), -1, 2) ** 2).sum(axis=(0, 2)))
    out = []
    for name, moves in zip(net.given.names, motion.tolist(), strict=True):
        if moves < 0.1:
            continue
        best = _better(net, fit, name)
        hint = f"read {best.start} to {best.end} as well" if best else ""
        if best is not None and best.then_mm > LOOSE * net.given.read_to_mm:
            hint += ", and one more from another point"
        count = sum(name in (reading.start, reading.end) for reading in net.given.readings)
        readings = f"{count} reading{'s' * (count != 1)} of it"
        why = f"the readings do not fix where {name} is: it can move without any of them changing"
        out.append(Fault(why, KEY, found=readings, hint=hint))
    return out


def _better(net: Net, fit: NetFit, point: str) -> Better | None:
    """The one further reading to `point`, from any other point, after which it is known best."""
    given = net.given
    names = [*given.known, *given.names]
    at = names.index(point)
    here = 2 * given.names.index(point)
    xy = np.vstack([net.known[:, :2], fit.at.reshape(-1, 2)])
    # a trace of knowledge everywhere (a metre), so that what is open is very uncertain and not undefined
    normal = _normal(net, fit.at) + np.eye(net.unknowns) / 1000.0**2

    def within(matrix: Floats) -> float:
        return radius_95(np.asarray(np.linalg.inv(matrix)[here : here + 2, here : here + 2], dtype=float))

    now = within(normal)
    best: Better | None = None
    taken = {frozenset((reading.start, reading.end)) for reading in given.readings}
    for k, name in enumerate(names):
        if name == point or frozenset((name, point)) in taken:
            continue
        offset = (xy[at] - xy[k]).reshape(1, 2)
        length = np.linalg.norm(offset, axis=1)
        row = rows(offset, length, np.array([k]), np.array([at]), len(net.known), net.unknowns) / given.sd_mm
        then = within(normal + row.T @ row)
        if then < 0.9 * (best.then_mm if best else now):
            best = Better(name, point, point, now, then)
    return best


@dataclass(frozen=True)
class _Answers:
    """The answers that one point has among the possible fits: their places, and which fits share each."""

    name: str
    places: list[Floats]
    fits: list[list[NetFit]]


def _one_answer(net: Net, minima: list[NetFit]) -> NetFit:
    """The one possible answer, with the clock's help. DesignError that asks for it where there are several."""
    possible = [fit for fit in minima if fit.chi2 <= minima[0].chi2 + ALSO_POSSIBLE]
    faults: list[Fault] = []
    for name, hours in net.given.clock.items():
        answers = _answers(net, possible, name)
        off = [_from_clock(xy, hours) for xy in answers.places]
        if min(off) > CLOCK_SLIP:
            said = " or ".join(f"{clock(*xy)} ({place(*xy)})" for xy in answers.places)
            faults.append(Fault(f"no answer lies there; the distances put {name} at {said}", ("survey", "clock", name)))
        else:
            possible = answers.fits[int(np.argmin(off))]
    for name in net.given.names:
        answers = _answers(net, possible, name)
        if len(answers.places) > 1:
            faults.append(_ask(net, answers))
    if faults:
        raise DesignError(faults)
    return possible[0]


def _answers(net: Net, possible: list[NetFit], name: str) -> _Answers:
    k = 2 * net.given.names.index(name)
    out = _Answers(name, [], [])
    near = max(1.0, net.given.read_to_mm)
    for fit in possible:
        xy = fit.at[k : k + 2]
        same = [i for i, other in enumerate(out.places) if np.linalg.norm(xy - other) < near]
        if same:
            out.fits[same[0]].append(fit)
        else:
            out.places.append(xy)
            out.fits.append([fit])
    return out


def _from_clock(xy: Floats, hours: float) -> float:
    """Degrees between where the place lies and where the clock says, seen facing the wheel."""
    return apart_deg(math.degrees(math.atan2(xy[0], xy[1])), 30.0 * hours)


def _ask(net: Net, answers: _Answers) -> Fault:
    """What is asked of the user where two places fit."""
    a, b = answers.places[:2]
    places = " or ".join(f"{clock(*xy)} ({place(*xy)})" for xy in answers.places)
    message = f"the distances leave {'two' if len(answers.places) == 2 else 'several'} answers for {answers.name}"
    best = _better(net, answers.fits[0][0], answers.name)
    k = 2 * net.given.names.index(answers.name)
    own = radius_95(_covariance(net, answers.fits[0][0])[k : k + 2, k : k + 2])
    close = float(np.linalg.norm(a - b)) < APART * own or clock(*a) == clock(*b)
    reading = f"read {best.start} to {best.end} as well" if best else "read its distance from one more point"
    if close:
        return Fault(f"{message}, too close together to tell apart", KEY, found=places, hint=reading)
    hint = f"write survey: clock: {{{answers.name}: {clock(*a)}}}, whichever is true; or {reading}"
    return Fault(message, ("survey", "clock"), found=places, hint=hint)


def _impossible(given: Distances, fit: NetFit) -> list[Fault]:
    """Readings that contradict each other although there is none to spare: the worst is named with its partners."""
    net = Net(given)
    residuals = net.residuals(fit.at)
    bad = [k for k in np.argsort(-np.abs(residuals)).tolist() if abs(residuals[k]) > 1.0]
    names = " and ".join(given.readings[k].name for k in bad[:3])
    why = f"{names} cannot all be true" if len(bad) > 2 else f"{names} cannot both be true"
    off = length(float(np.abs(net.lengths(fit.at) - net.read).max()), READ)
    found = f"off by {off} at the least, however the points are placed"
    return [Fault(why, KEY, found=found, hint="read these again")]
