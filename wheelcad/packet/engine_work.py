"""The pages for the engine: fitting, controller numbers, wiring, first start and what to check again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wheelcad.findings import Finding
from wheelcad.job.elements import element_of
from wheelcad.packet.dial import dial
from wheelcad.packet.page import PacketPage, degrees
from wheelcad.packet.scope_trace import scope_picture, scope_words
from wheelcad.parts.bracket.fitting import WOBBLE, fitting_steps
from wheelcad.parts.design import Design
from wheelcad.parts.ignition import IgnitionDesign
from wheelcad.signal.faults import SAFE
from wheelcad.signal.text import LEVELS
from wheelcad.trade.assumed import ASSUMED
from wheelcad.trade.ignition import lamp_rpm
from wheelcad.trade.sources import marked
from wheelcad.words import length, number, speed

ROTATING = (
    "Hands, tools, leads, hair and cloth away from belts and wheel; nobody in line with the rim when it first turns."
)


def _wheel_on(design: Design) -> str:
    """Bolting the wheel on, the one way that is right."""
    bolts = design.job.bolts
    where = "TDC mark where it was"
    if design.wheel.form == "plate":
        where = "front outwards, its TDC line on the pulley's TDC mark"
        if bolts is not None and bolts.count > 1:
            where += f" ({bolts.count} bolts let it go on in {bolts.count} ways; only this one is right)"
    return f"Gauge off. Wheel on, faces clean, {where}; bolts to the maker's torque with thread lock."


def fitting(design: Design, findings: Sequence[Finding] = ()) -> Iterator[PacketPage]:
    """Bolting on, gap, slots."""
    sensor, bracket = design.job.sensor, design.bracket
    page = PacketPage("Fit the wheel and set the gap")
    lines = [_wheel_on(design)]
    if bracket is not None:
        lines += [step.does for step in fitting_steps(bracket)]
    else:
        runs = (
            "the ring's side face, at the teeth" if sensor is not None and sensor.looks == "along" else "the tooth tops"
        )
        lines.append(f"Run an indicator on {runs} while you turn the crank by hand: no more than {length(WOBBLE)}.")
        if sensor is not None:
            lines.append(
                f"Sensor in, looking at the middle of the teeth. Set the gap with a feeler: {length(sensor.air_gap)} "
                "where it is least, then turn the crank twice round by hand and try every tooth."
            )
    page.steps(lines).notes(findings, "sensor", "assembly", "adapter", "cam")
    if design.cam is not None:
        page.words("The target on the cam is fitted the same way, half as fast: see its files and numbers.")
    yield page.caution([ROTATING, "Refit the belt guard and every cover you took off."])


def controller(design: Design, findings: Sequence[Finding] = ()) -> PacketPage:
    """The ignition card."""
    job, made, wheel = design.job, design.ignition, design.wheel
    told = made.told
    page = PacketPage("Ignition card: tell the controller")
    missing = " + ".join(str(gap.missing) for gap in wheel.gaps)
    rows = [("Wheel", f"{wheel.teeth.count} − {missing}")]
    if told.use_deg is not None:
        rows += [
            ("Use this: degrees to TDC", degrees(told.use_deg)),
            ("Middle of the gap to TDC", degrees(told.gap_centre_to_tdc_deg)),
            ("First tooth after it: leading edge, L", degrees(told.first_edge_to_tdc_deg)),
            ("its middle", degrees(told.first_tooth_centre_to_tdc_deg)),
            ("its trailing edge, T", degrees(told.trailing_edge_to_tdc_deg)),
            ("TDC, teeth after the gap's middle", number(_teeth_from_gap(design), 2)),
        ]
    numbers = PacketPage("").numbers(rows, large=False)
    page.beside(PacketPage("").picture("card-dial", dial(job, wheel), 97.0), numbers, (10, 9))
    if told.use_deg is not None:
        page.words(
            f"Why: {told.use_why}. The gap passes the sensor, then the crank turns this far to TDC of cylinder 1."
        )
    else:
        page.words(f"{told.use_why[:1].upper()}{told.use_why[1:]}.")
    if made.firing_order:
        page.beside(_coils(made), _fires(made))
    if design.cam is not None and design.cam.at_gap is not None:
        after, other = ("metal" if high else "no metal" for high in design.cam.at_gap.high)
        page.words(
            f"Cam sensor, judged at the first edge after the gap: {after} in front of it in the turn that begins at "
            f"TDC of cylinder 1's compression, {other} in the next. Taken for each other, every spark is 360° out."
        )
    page.notes(findings, "engine", "controller", "ignition")
    engine = design.job.engine
    idle = (engine and engine.idle_speed) or float(ASSUMED["engine.idle_speed"].value)
    page.head("Set it right with a timing light")
    page.points(
        [
            f"Fix the controller's advance, say at 10°, and read the light on {_read_on(design)}.",
            "The light shows more advance than you asked for: the sparks come early, so TDC is further off than the "
            "controller was told. Add the difference to the number above. Asked 10°, seen 13°: 3° more."
            + _example(design),
            "The light shows less advance: take the difference off.",
            f"With wasted spark a lamp may count two sparks as two cycles, as {marked('induction tachometers')} do: at "
            f"{speed(idle)} it then shows {speed(lamp_rpm(idle, wasted=True))}, and a lamp with a delay dial about "
            "twice the advance. Use a plain strobe on degree marks.",
            f"One tooth out reads as {degrees(wheel.pitch_deg)}: look for the gap counted wrongly.",
            *_other_edge(design),
        ]
    )
    return page.caution(["The light tempts you close to belts and fan. " + ROTATING])


def _read_on(design: Design) -> str:
    """What the timing light is read on: marks that are there."""
    marks = design.job.wheel.marks
    if marks is not None and marks.degrees:
        return "the wheel's degree marks"
    return "a degree tape (this wheel has no marks)"


def _other_edge(design: Design) -> list[str]:
    """How this sensor's usual mistake shows: swapped wires, or the other electrical edge."""
    sensor, told = design.job.sensor, design.ignition.told
    if sensor is None:
        return []
    if element_of(sensor) == "pole":
        return ["A reluctance sensor with its wires swapped shows no clear gap: no sync, or now and then. Swap them."]
    if told.first_edge_to_tdc_deg is None or told.trailing_edge_to_tdc_deg is None:
        return []
    width = (told.first_edge_to_tdc_deg - told.trailing_edge_to_tdc_deg) % 360
    output = sensor.output or ASSUMED["sensor.output"].value
    level = str(output).removeprefix("iron-")
    edges = (LEVELS["leading", level], LEVELS["trailing", level])
    return [
        f"Reads {degrees(width)} off at every speed: the other edge, a tooth's width away. Output {level} over iron"
        f"{'' if sensor.output else ' (assumed)'}: L is the {edges[0]} electrical edge, T the {edges[1]}."
    ]


def _coils(made: IgnitionDesign) -> PacketPage:
    """What each coil, or the rotor, is to be told."""
    page = PacketPage("")
    if made.spark == "per-cylinder":
        return page.words(
            "A coil to each cylinder, fired at its own angle over 720°: the controller needs a cam signal."
        )
    rows = [[str(one), degrees(at, 1)] for one, at in made.at_deg]
    if made.spark == "distributor":
        return page.grid(["Rotor at the lead of cylinder", "distributor degrees"], rows, "rr", large=True, close=True)
    if made.companions:
        pairs = [[f"coil {i}", f"{a} and {b}"] for i, (a, b) in enumerate(made.companions, start=1)]
        page.grid(["Coil", "Cylinders that share it"], pairs, large=True, close=True)
    if rows:
        page.words("These fire 360° from no other: a coil each, fired every turn at this angle.")
        page.grid(["Cylinder", "degrees of each turn"], rows, "rr", close=True)
    return page


def _fires(made: IgnitionDesign) -> PacketPage:
    rows = [[str(c), degrees(a, 1)] for c, a in zip(made.firing_order, made.firing_angles_deg, strict=True)]
    return PacketPage("").grid(["Four-stroke, as they fire", "over 720°"], rows, "rr", close=True)


def _teeth_from_gap(design: Design) -> float:
    at = design.ignition.told.gap_centre_to_tdc_deg
    return 0.0 if at is None else at / design.wheel.pitch_deg


def _example(design: Design) -> str:
    use = design.ignition.told.use_deg
    return "" if use is None else f" Here: {degrees(use)} becomes {degrees((use + 3) % 360)}."


def wiring(design: Design) -> PacketPage:
    """Supply, pull-up, shield, leads, lost sync."""
    sensor = design.job.sensor
    page = PacketPage("Wiring the sensor", joins=True)
    lines = [
        f"Lead as short as it can be, at least {length(100.0, 0)} from spark-plug leads and coils, "
        "crossing them at right angles.",
        "Shield earthed at one end only, at the controller. Engine and controller earth at one star point.",
        "Plug and lead tied so that they cannot reach the belt, the wheel or the exhaust; sensor and lead where the "
        "exhaust cannot cook them: look up what heat they bear.",
        "Resistor (suppressed) plugs or leads: plain ones put teeth into the signal that are not there.",
    ]
    if sensor is None or sensor.kind == "hall":
        lines.insert(0, "Hall: supply, earth and signal as its maker says; most switch to earth and need a pull-up "
                        "(about 1 to 5 kΩ to the controller's logic supply, never to the battery) unless the "
                        "controller has one.")  # fmt: skip
    if sensor is not None and sensor.kind == "reluctance":
        lines.insert(0, "Reluctance: two signal wires twisted together; label them, and swap them if the "
                        "controller does not find the gap.")  # fmt: skip
    page.steps(lines)
    seen = scope_picture(design.job, design.wheel)
    if seen:
        page.head("What an oscilloscope shows in one turn, from TDC of cylinder 1 to the next")
        page.picture("sensor-eye", seen, 160.0)
        page.words(scope_words(design.job))
    page.words(
        "Find out what your controller does when it loses count of the teeth: it should stop the sparks, and the fuel "
        "pump with them, until it has seen the gap again. Try it on the starter with the plug pulled."
    )
    return page.caution(["Coils hold a charge that can throw you: ignition off and key out before you touch wiring."])


def first_start(design: Design) -> PacketPage:
    """Cranking, light, after an hour, after a month."""
    made = design.ignition
    page = PacketPage("First start, and looking again")
    rate = (
        f" ({number(made.tooth_rate_at_cranking_hz, 0)} teeth a second at the mean speed, "
        f"{number(made.tooth_rate_slowest_hz, 0)} at the slowest moment)"
    )
    page.steps(
        [
            SAFE,
            f"Plugs out of their holes: crank and look for a steady speed and the gap found every turn{rate}.",
            "Fixed advance, timing light on cylinder 1 while cranking: the mark must stand still.",
            "Start, warm up, check at idle and at a fast idle: the mark must not wander with speed.",
            "Bring the speed up in steps, stop at any new noise or shake, and look at bracket and gap each time.",
        ]
    )
    page.head("After an hour").steps(
        [
            "Bolts of wheel, bracket and sensor: paint marks in line?",
            "Gap at the nearest tooth, run-out, cracks at bends and welds.",
        ]
    )
    again = ["The same again, and the lead for chafing.", "Timing light once more."]
    if design.job.pulley is not None and design.job.pulley.rubber_ring:
        again.append("Witness mark across the rubber ring: if it has moved, so has the timing. Replace the pulley.")
    page.head("After a month, then each year").steps(again)
    return page.caution([ROTATING, "Petrol and sparks: no leaks, extinguisher at hand, exhaust led outside."])
