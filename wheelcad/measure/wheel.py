"""The wheel that was measured: pattern, slots, teeth and pitch errors, whatever the source.

Zero is midway between the two slots that bound the largest gap, as measured (the first slot where no tooth is missing);
with a job, the angle that the job gives the gap. Angles rise the way the crank turns; slots stand in the order of
cutting, from the gap on. Errors are measured less nominal, positive the way the crank turns.

Pitch errors have the terms of ISO 1328-1, here in degrees instead of micrometres of arc: single pitch deviation f_pt
(the algebraic difference between actual and theoretical pitch near mid-depth of the teeth), cumulative pitch
deviation (the sum of the single ones), total cumulative pitch deviation F_p (greatest less least of them). Source:
the standard's wording as given by the gear terms pages "Single Pitch Deviation" and "Gear Precision Class - Pitch
Deviation"; the standard itself was not seen. A turn closes: the single pitch errors of a whole turn add up to nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.measure.partway import is_part_cut, part_voids, positions
from wheelcad.measure.pattern import Pattern, find_pattern, steps_round
from wheelcad.measure.reading import WheelReading
from wheelcad.trade.frames import wrap_180, wrap_360

NORMAL_95 = 1.959964  # standard deviations either way that hold 95 % of a normal distribution
UNEVEN = 0.3  # of a pitch: slots whose widths differ more than this about their median are no wheel's


class NoWheelError(ValueError):
    """What was seen is no toothed wheel; the text says why in one sentence."""


@dataclass(frozen=True, eq=False)
class MeasuredWheel:
    """A wheel after measuring; see the module's note.

    missing: in all gaps together. gap_units: of the largest gap, in pitches from tooth to tooth (1: none missing).
    gap_cleared: False where slots alone are known and a gap of one tooth could not be seen. zero_deg: this wheel's zero
    in the reading's own. slot_centres_deg: (n,) 0 ≤ a < 360. at_deg: (n,) the same, rising, not wrapped. nominal: (n,)
    pitches from the first slot. slot_width_deg: median. tooth_edges_deg: (t, 2) at the rim. single, cumulative: (n,);
    single[0] is the step across the gap to the first slot. uncut: slots that are still to be cut, of a wheel part way
    through, which are in none of these; its single[0] is 0, and missing what was wanted.
    """

    reading: WheelReading
    teeth: int
    missing: int
    gap_units: int
    gap_cleared: bool
    zero_deg: float
    at_deg: Floats
    nominal: Ints
    slot_width_deg: float | None
    tooth_edges_deg: Floats | None
    single_deg: Floats
    cumulative_deg: Floats
    uncut: int = 0

    @property
    def pitch_deg(self) -> float:
        """Degrees from position to position."""
        return 360.0 / self.teeth

    @property
    def slot_centres_deg(self) -> Floats:
        """(n,) slot centres in the order of cutting, 0 ≤ a < 360."""
        return wrap_360(self.at_deg)

    @property
    def single_pitch_max_deg(self) -> float:
        """f_pt: the largest single pitch error, without its sign."""
        return float(np.abs(self.single_deg).max())

    @property
    def total_cumulative_deg(self) -> float:
        """F_p: greatest less least cumulative pitch error."""
        return float(self.cumulative_deg.max() - self.cumulative_deg.min())

    @property
    def tooth_errors_deg(self) -> tuple[Floats, Floats]:
        """Centres (t,) of the teeth, rising from the gap, and their errors (t,) from the even spacing; needs
        tooth_centres_deg in the reading."""
        assert self.reading.tooth_centres_deg is not None
        rising = np.sort(wrap_360(self.reading.tooth_centres_deg - self.zero_deg - self.at_deg[0]))
        steps = np.maximum(np.round(np.diff(rising) / self.pitch_deg), 1)
        return rising + self.at_deg[0], rising - np.concatenate([[0.0], np.cumsum(steps)]) * self.pitch_deg

    @property
    def uncertainty_deg(self) -> float:
        """95 % half-width of one slot's centre from this zero, which itself is the mean of two slots (or one slot)."""
        zero = 1.5 if self.missing else 2.0
        return NORMAL_95 * self.reading.sd_deg * float(np.sqrt(zero))

    @property
    def tooth_centres_deg(self) -> Floats | None:
        """(t,) rising from the gap's middle, 0 ≤ a < 360; None where slots alone are known."""
        if self.reading.tooth_centres_deg is not None:
            return np.sort(wrap_360(self.reading.tooth_centres_deg - self.zero_deg))
        if self.tooth_edges_deg is None:
            return None
        start, end = self.tooth_edges_deg.T
        return wrap_360(start + np.mod(end - start, 360.0) / 2)

    @property
    def tooth_widths_deg(self) -> Floats | None:
        """(t,) at the rim; None where edges are not known."""
        if self.tooth_edges_deg is None:
            return None
        return np.mod(self.tooth_edges_deg[:, 1] - self.tooth_edges_deg[:, 0], 360.0)

    @property
    def slot_widths_deg(self) -> list[float | None] | None:
        """n widths half-way down, in the order of cutting; None for a slot that runs out into a gap."""
        if self.reading.edges_deg is None:
            return None
        start, end = (self.reading.edges_deg - self.zero_deg).T
        before = np.mod(self.at_deg[:, None] - end, 360.0).min(axis=1)
        after = np.mod(start - self.at_deg[:, None], 360.0).min(axis=1)
        return [float(a + b) if a + b < self.pitch_deg else None for a, b in zip(before, after, strict=True)]

    @property
    def within_95(self) -> dict[str, float]:
        """95 % half-widths, degrees: of a slot's or tooth's centre from zero, of one width, of a single pitch and of
        the sum over a number of them, each the difference of two slots."""
        slot, pair = self.uncertainty_deg, NORMAL_95 * self.reading.sd_deg * float(np.sqrt(2.0))
        out = {"slot_centre_deg": slot, "single_pitch_deg": pair, "cumulative_pitch_deg": pair}
        if self.tooth_centres_deg is not None:
            out["tooth_centre_deg"] = slot
        if self.reading.edges_deg is not None:
            # the difference of two edges, as a centre is their mean
            out["width_deg"] = 2 * NORMAL_95 * self.reading.sd_deg
        return out


def measured_wheel(
    reading: WheelReading, intended: tuple[int, int] | None = None, gap_at_deg: float = 0.0
) -> MeasuredWheel:
    """The wheel a reading shows. intended: positions and missing teeth that were wanted, where known.

    NoWheelError when teeth are too few or too uneven to be a wheel's.
    """
    if reading.edges_deg is not None:
        voids = part_voids(reading.edges_deg)
        if voids is not None:
            return _part_cut(reading, voids.mean(axis=1), intended, gap_at_deg, float(np.median(np.diff(voids))))
        return _from_edges(reading, reading.edges_deg, gap_at_deg)
    if reading.tooth_centres_deg is not None:
        return _from_centres(reading, reading.tooth_centres_deg, gap_at_deg)
    assert reading.slots_deg is not None
    return _from_slots(reading, reading.slots_deg, intended, gap_at_deg)


def _pattern(steps: Floats, what: str) -> Pattern:
    found = find_pattern(steps)
    if found is None:
        raise NoWheelError(f"{len(steps)} {what} were found, but they fit no even spacing round a circle")
    return found


def _from_edges(reading: WheelReading, edges: Floats, gap_at: float) -> MeasuredWheel:
    """Teeth with both sides: an ordinary slot's centre is midway between its sides, a slot beside a gap has one side
    and half an ordinary slot's width."""
    widths = np.mod(edges[:, 1] - edges[:, 0], 360.0)
    centres = np.sort(wrap_360(edges[:, 0] + widths / 2))
    edges = edges[np.argsort(wrap_360(edges[:, 0] + widths / 2), kind="stable")]
    found = _pattern(steps_round(centres), "teeth")
    edges, units, order = _from_gap(edges, found.units)
    voids = np.mod(np.roll(edges[:, 0], -1) - edges[:, 1], 360.0)
    ordinary = voids[units == 1]
    width = float(np.median(ordinary)) if len(ordinary) else float(voids.min())
    if len(ordinary) and float(np.median(np.abs(ordinary - width))) > UNEVEN * found.pitch_deg:
        raise NoWheelError(f"{len(edges)} teeth were found, but their widths are too uneven for a wheel")
    at, nominal = _slots(edges, units, width)
    zero = _zero(at, units[-1], gap_at)
    rim = reading.rim_edges_deg
    if rim is not None:
        rim = rim[np.argsort(wrap_360(reading.edges_deg[:, 0] + widths / 2), kind="stable")][order]  # type: ignore[index]
    return _wheel(reading, found, int(units[-1]), at, nominal, zero, width, edges if rim is None else rim)


def _from_gap(edges: Floats, units: Ints) -> tuple[Floats, Ints, Ints]:
    """Teeth turned round so that the first follows the largest gap; the order that does so."""
    start = (int(np.argmax(units)) + 1) % len(units) if units.max() > 1 else 0
    order = np.roll(np.arange(len(units)), -start)
    return edges[order], units[order], order


def _slots(edges: Floats, units: Ints, width: float) -> tuple[Floats, Ints]:
    """Slot centres, rising from the one before the first tooth, and their nominal pitches from there."""
    start, end = np.unwrap(edges, period=360.0, axis=1).T
    shift = np.unwrap(start, period=360.0) - start
    start, end = start + shift, end + shift
    at, nominal, count = [start[0] - width / 2], [0], 0
    for k in range(len(edges)):
        count += 1  # past tooth k
        last = k == len(edges) - 1
        following = start[0] + 360.0 if last else start[k + 1]
        if units[k] == 1:
            if not last:
                at.append((end[k] + following) / 2)
                nominal.append(count)
            continue
        at.append(end[k] + width / 2)
        nominal.append(count)
        count += int(units[k]) - 1
        if not last:
            at.append(following - width / 2)
            nominal.append(count)
    if units[-1] == 1:  # no gap: the first slot is an ordinary one as well
        at[0] = (end[-1] - 360.0 + start[0]) / 2
    return np.array(at), np.array(nominal, dtype=np.int64)


def _from_centres(reading: WheelReading, centres: Floats, gap_at: float) -> MeasuredWheel:
    """Tooth centres alone: a slot lies midway between two teeth, beside a gap half a pitch from its tooth."""
    centres = np.sort(wrap_360(centres))
    found = _pattern(steps_round(centres), "teeth")
    half = found.pitch_deg / 4  # teeth as wide as the slots, to which only the centres matter
    edges, units, _ = _from_gap(np.column_stack([centres - half, centres + half]), found.units)
    at, nominal = _slots(edges, units, 2 * half)
    return _wheel(reading, found, int(units[-1]), at, nominal, _zero(at, units[-1], gap_at), None, None)


def _from_slots(reading: WheelReading, slots: Floats, intended: tuple[int, int] | None, gap_at: float) -> MeasuredWheel:
    """Slot centres alone: a gap of one tooth does not show, so that --pattern or the job has to tell of it."""
    if is_part_cut(slots, None if intended is None else intended[1]):
        return _part_cut(reading, slots, intended, gap_at, None)
    first = float(slots[0])
    rising = np.sort(np.mod(slots - first + 1e-9, 360.0))
    found = _pattern(steps_round(rising), "slots")
    units = found.units
    if units.max() > 1:
        start = (int(np.argmax(units)) + 1) % len(units)
        rising = np.roll(rising, -start)
        units = np.roll(units, -start)
        rising = np.where(np.arange(len(rising)) >= len(rising) - start, rising + 360.0, rising) if start else rising
    at = rising + first - 1e-9
    nominal = np.concatenate([[0], np.cumsum(units[:-1])])
    hidden = units.max() == 1
    missing = int((units[units > 1]).sum())
    if hidden and intended is not None and intended[1] == 1:
        missing = 1
    gap = int(units[-1]) + 1 if units.max() > 1 else 1 + missing
    zero = _zero(at, gap, gap_at)
    single, cumulative = pitch_errors(at, nominal, found.teeth)
    return MeasuredWheel(
        reading, found.teeth, missing, gap, not hidden, zero, at - zero, nominal, None, None, single, cumulative
    )


def _part_cut(
    reading: WheelReading, slots: Floats, intended: tuple[int, int] | None, gap_at: float, width: float | None
) -> MeasuredWheel:
    """A wheel part way through: its first slot is the one after the stretch that is not cut, taken to be the first of
    the order of cutting, half the gap from the gap's middle."""
    teeth = positions(slots, None if intended is None else intended[0])
    if teeth is None:
        raise NoWheelError(
            f"{len(slots)} slots were found over part of the circle, and their spacing tells of no one pattern: name "
            "it with --pattern, or cut more"
        )
    rising = np.sort(wrap_360(slots))
    rising = np.roll(rising, -(int(np.argmax(steps_round(rising))) + 1))
    at = np.unwrap(rising, period=360.0)
    nominal = np.rint((at - at[0]) * teeth / 360.0).astype(np.int64)
    missing = intended[1] if intended is not None else 0
    whole = teeth - missing + (1 if missing else 0)
    if len(np.unique(nominal)) != len(nominal) or len(at) > whole:
        raise NoWheelError(f"{len(slots)} slots were found over part of the circle, more than one at the same place")
    single, cumulative = pitch_errors(at, nominal, teeth)
    single[0] = 0.0
    zero = float(at[0]) - missing * 180.0 / teeth - gap_at
    return MeasuredWheel(
        reading, teeth, missing, 1, False, zero, at - zero, nominal, width, None, single, cumulative, whole - len(at)
    )


def _zero(at: Floats, gap_units: int, gap_at: float) -> float:
    """The zero in the reading's own angles: midway between the last slot and the first where there is a gap."""
    if gap_units < 2:
        return float(at[0]) - gap_at
    back = float(wrap_360(at[0] - at[-1]))
    return float(at[0]) - back / 2 - gap_at


def _wheel(
    reading: WheelReading,
    found: Pattern,
    gap_units: int,
    at: Floats,
    nominal: Ints,
    zero: float,
    width: float | None,
    edges: Floats | None,
) -> MeasuredWheel:
    single, cumulative = pitch_errors(at, nominal, found.teeth)
    return MeasuredWheel(
        reading,
        found.teeth,
        found.teeth - len(found.units),
        gap_units,
        True,
        zero,
        at - zero,
        nominal,
        width,
        None if edges is None else wrap_360(edges - zero),
        single,
        cumulative,
    )


def pitch_errors(at_deg: Floats, nominal: Ints, teeth: int) -> tuple[Floats, Floats]:
    """Single and cumulative pitch errors (n,) of rising slots `nominal` pitches from the first; see the module's
    note."""
    cumulative = (at_deg - at_deg[0]) - nominal * 360.0 / teeth
    single = np.diff(cumulative, prepend=0.0)
    single[0] = float(wrap_180(-cumulative[-1]))
    return single, cumulative
