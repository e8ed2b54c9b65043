"""What was measured, as numbers for programs, as a table, and as text for a person."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from wheelcad.files.csvs import field as csv_field
from wheelcad.measure.advice import Advice, numbers
from wheelcad.measure.budget import budget_lines
from wheelcad.measure.mechanism import Mechanism
from wheelcad.measure.reading import Unbalance
from wheelcad.measure.wheel import MeasuredWheel
from wheelcad.words import Words, angle, count, fine, length, quantity

RECORDED = ("speed_rpm", "dip", "wires_swapped", "level")


@dataclass(frozen=True, eq=False)
class Measured:
    """Everything that came out. errors: (n,) of the slots in the order of cutting, against the pattern that was wanted.
    wanted: that pattern, where one was named. assumed: what was taken for granted. units: of the text. budget: the
    timing budget with this wheel's own errors, None without a job that tells of engine and sensor."""

    wheel: MeasuredWheel
    mechanism: Mechanism
    advice: Sequence[Advice]
    errors: Sequence[float]
    wanted: tuple[int, int] | None
    assumed: Sequence[str]
    file: str
    units: str
    budget: dict[str, Any] | None = None

    def as_json(self) -> dict[str, Any]:
        """`measure --json`; angles in degrees, lengths in mm, null where the source cannot tell."""
        wheel, reading = self.wheel, self.wheel.reading
        words = Words(self.units)
        out: dict[str, Any] = {
            "source": reading.source,
            "about": reading.about,
            "pattern": {"teeth": wheel.teeth, "missing": wheel.missing},
            "slot_centres_deg": wheel.slot_centres_deg,
            "tooth_edges_deg": wheel.tooth_edges_deg,
            "single_pitch_error_deg": wheel.single_deg,
            "cumulative_pitch_error_deg": wheel.cumulative_deg,
            "single_pitch_max_deg": wheel.single_pitch_max_deg,
            "total_cumulative_deg": wheel.total_cumulative_deg,
            "centre_offset_mm": reading.centre_offset_mm,
            "runout_mm": reading.runout_mm,
            "uncertainty_deg": wheel.uncertainty_deg,
            "mechanism": self.mechanism.as_json(),
            "advice": [words.through(one.as_json()) for one in self.advice],
            "roundness_mm": reading.roundness_mm,
            "slot_widths_deg": wheel.slot_widths_deg,
            "tooth_centres_deg": wheel.tooth_centres_deg,
            "tooth_widths_deg": wheel.tooth_widths_deg,
            "unbalance": _unbalance(wheel),
            "within_95": {**wheel.within_95, **reading.lengths_95_mm},
        }
        if wheel.uncut:
            out["uncut"] = wheel.uncut
        if self.budget is not None:
            out["budget"] = words.through(self.budget)
        if reading.source == "recording":
            out |= {key: reading.extra.get(key) for key in RECORDED}
        return out

    def as_csv(self) -> str:
        """One row a slot, in the order of cutting."""
        wheel = self.wheel
        handle = io.StringIO()
        writer = csv.writer(handle, lineterminator="\r\n")
        count = len(wheel.at_deg)
        columns: dict[str, Sequence[float | None]] = {
            "slot_centre_deg": wheel.slot_centres_deg.tolist(),
            "single_pitch_error_deg": wheel.single_deg.tolist(),
            "cumulative_pitch_error_deg": wheel.cumulative_deg.tolist(),
            "explained_deg": self.mechanism.per_cut or [0.0] * count,
            "uncertainty_deg": [wheel.uncertainty_deg] * count,
            "slot_width_deg": wheel.slot_widths_deg or [None] * count,
        }
        writer.writerow(["cut", *columns])
        for cut, row in enumerate(zip(*columns.values(), strict=True), start=1):
            writer.writerow([cut, *("" if value is None else csv_field(float(value)) for value in row)])
        return handle.getvalue()

    def lines(self) -> list[str]:
        """The result as sentences, quantities written in the document's unit."""
        words = Words(self.units)
        out = [*self._found(), "", *self._why(), ""]
        for number, one in enumerate(self.advice, start=1):
            out.append(f"{number}. {one.what}{'' if one.syncs else ' - a controller will not find the gap'}")
        if self.budget is not None:
            out += ["", *budget_lines(self.budget)]
        if self.assumed:
            out += ["", *(f"Taken for granted: {one}." for one in self.assumed)]
        out += [f"Note: {note}." for note in self.wheel.reading.notes]
        return [words.text(line) for line in out]

    def _found(self) -> Iterator[str]:
        wheel, r = self.wheel, self.wheel.reading
        about = "" if r.about is None else f", measured about the {r.about}"
        yield (
            f"{self.file}: {wheel.teeth}-{wheel.missing}, {count(len(wheel.at_deg), 'slot')}"
            f"{f', part way through: {wheel.uncut} still to cut' if wheel.uncut else ''}{about}"
        )
        yield (
            f"single pitch error up to {angle(wheel.single_pitch_max_deg, 3)}, total cumulative "
            f"{angle(wheel.total_cumulative_deg, 3)} (terms of ISO 1328-1); each slot to "
            f"±{angle(wheel.uncertainty_deg, 3)} (95 %)"
        )
        sizes = [
            ("over all", None if r.rim_radius_mm is None else length(2 * r.rim_radius_mm)),
            ("rim to bore off by", self._give_or_take("centre_offset_mm", r.centre_offset_mm)),
            ("run-out", self._give_or_take("runout_mm", r.runout_mm)),
            ("roundness", self._give_or_take("roundness_mm", r.roundness_mm)),
        ]
        said = [f"{name} {value}" for name, value in sizes if value is not None]
        if said:
            yield ", ".join(said)
        if wheel.slot_width_deg is not None:
            width = wheel.within_95.get("width_deg")
            more = "" if width is None else f" (each to ±{angle(width, 3)})"
            yield f"slots {angle(wheel.slot_width_deg, 3)} wide half-way down{more}"
        if r.unbalance is not None:
            yield unbalance_said(r.unbalance, wheel.zero_deg)
        if r.source == "recording":
            swapped = (
                "the sensor's two wires are SWAPPED: change them over"
                if r.extra["wires_swapped"]
                else "wires right way round"
            )
            yield f"{r.extra['speed_rpm']:.0f} rpm, slowest at {r.extra['dip']:.2f} of the mean, {swapped}"
            level = r.extra.get("level")
            if level and level["weak_teeth"]:
                yield f"weak teeth, counted from the gap: {numbers(level['weak_teeth'])}"
            if level and level["runout_mm"] is not None:
                wave = f"run-out about {fine(level['runout_mm'])} ± {fine(level['runout_95_mm'])}"
                yield f"{wave}, by how the signal's height goes up and down once a turn"

    def _give_or_take(self, name: str, value: float | None) -> str | None:
        """A length with its 95 %; None where it is not known."""
        if value is None:
            return None
        within = self.wheel.reading.lengths_95_mm.get(name)
        return fine(value) + ("" if within is None else f" ± {fine(within)}")

    def _why(self) -> list[str]:
        m = self.mechanism
        sure = f" ({100 * m.confidence:.0f} % sure)"
        cuts = ", ".join(str(cut) for cut in m.where)
        said = {
            "sound": "nothing went wrong: the errors are what measuring and setting scatter",
            "part-turn-forgotten": f"the part of a turn was forgotten at cut {cuts}: "
            f"{'from there on all cuts are' if len(m.where) == 1 else 'each time all cuts from there on are'} "
            f"{angle(m.size_deg, 3)} off",
            "slip": f"something slipped before cut {cuts}: from there on all cuts are off, by {angle(m.size_deg, 3)}"
            f"{'' if len(m.where) == 1 else ' at the larger slip'}",
            "backlash": f"from cut {cuts} on a run of cuts is {angle(m.size_deg, 3)} off: the slack was taken up on "
            "the wrong side",
            "drift": f"every cut came a little further off, {angle(m.size_deg, 3)} in all: wrong ratio or a miscounted "
            "turn, spread",
            "off-centre": f"the wheel lay off centre on the table: errors of up to {angle(m.size_deg, 3)} round the "
            "circle",
            "miscount": f"the wrong number was counted: this is {self.wheel.teeth}-{self.wheel.missing}"
            + (f", not {self.wanted[0]}-{self.wanted[1]}" if self.wanted else ""),
            "scatter": f"every cut is a little off, without a pattern ({angle(m.size_deg, 3)} standard deviation): "
            "settings or clamping",
        }[m.name]
        return [said + sure, *([] if m.name == "sound" else [NEXT_TIME[m.name]])]


def unbalance_said(u: Unbalance, zero_deg: float) -> str:
    """The unbalance in a sentence, with what it counts."""
    kind = "unbalance-per-thickness" if u.per_mm else "unbalance"
    text = f"unbalance {quantity(u.amount, kind)} {'of thickness ' if u.per_mm else ''}± "
    text += f"{quantity(u.within_95, kind)} (95 %), heavy at {angle((u.at_deg - zero_deg) % 360.0, 1)}, "
    text += f"of metal of {u.density:g} kg/m³"
    if not u.per_mm:
        return text
    seen = f"{count(u.openings, 'opening')} seen, bore and holes" if u.openings else "no opening seen"
    return f"{text} ({seen}; what does not go through does not show)"


def _unbalance(wheel: MeasuredWheel) -> dict[str, Any] | None:
    u = wheel.reading.unbalance
    if u is None:
        return None
    per = "_per_mm" if u.per_mm else ""
    return {
        f"unbalance_g_mm{per}": u.amount,
        "at_deg": (u.at_deg - wheel.zero_deg) % 360.0,
        f"within_95_g_mm{per}": u.within_95,
        "density_kg_m3": u.density,
    }


NEXT_TIME = {
    "part-turn-forgotten": "Next time: set every cut from zero by the chart, tick it off, watch the edge scale.",
    "slip": "Next time: clamp the table for each cut, and check the first slot again every quarter turn.",
    "backlash": "Next time: come up to every setting from the same side; after an overshoot go back past the slack.",
    "drift": "Next time: check the table's ratio by a whole turn before the first cut.",
    "off-centre": f"Next time: centre the bore with an indicator on the table to {length(0.03)}.",
    "miscount": "Next time: mark the gap first, and count slots against the chart before clearing it.",
    "scatter": "Next time: lock the table at each cut, take lighter cuts, and set by the finer scale.",
}
