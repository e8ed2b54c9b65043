"""Values that are right alone but contradict each other, where no geometry is needed to see it."""

from __future__ import annotations

from itertools import pairwise

from wheelcad.errors import Fault, Faults, Key
from wheelcad.job.elements import KIND_OF
from wheelcad.job.models import BehindFront, Bracket, Engine, Job, Pulley, Sensor
from wheelcad.job.points import is_reserved, survey_faults, unknown_allowed
from wheelcad.words import typed

TWIN_ASKED = "is needed for two cylinders, which fire in one of three usual ways: the job must say which"
TWIN_USUAL = (
    "[0, 360]: both pistons rise together; [0, 180] or [0, 540]: one rises as the other falls; a V on one crankpin: "
    "[0, 270] or [0, 450] at 90 deg, [0, 315] or [0, 405] at 45 deg"
)


def contradictions(job: Job) -> list[Fault]:
    """Every pair of values that cannot both be meant; each fault names the key that is easiest to mend."""
    faults = Faults()
    if job.engine is not None:
        _firing(job.engine, faults)
    _pattern(job, faults)
    if job.sensor is not None:
        _sensor(job.sensor, faults)
        _sees_teeth(job, job.sensor, faults)
    _forms(job, faults)
    _bracket(job, faults)
    _balance(job, faults)
    faults.extend(survey_faults(job))
    faults.extend(unknown_allowed(job))
    return list(faults)


def form_of(job: Job) -> str:
    """turned-down or plate: as written, or turned-down when the pulley says how it is turned."""
    if job.wheel.form is not None:
        return job.wheel.form
    return "turned-down" if job.pulley is not None and job.pulley.turned else "plate"


def _firing(engine: Engine, faults: Faults) -> None:
    order, angles = engine.firing_order, engine.firing_angles
    if order is not None:
        _firing_order(order, engine.cylinders, faults)
    key = ("engine", "firing_angles")
    if angles is None:
        if engine.cylinders == 2 or (engine.cylinders is None and order is not None and len(order) == 2):
            faults.add(
                key, TWIN_ASKED, allowed=TWIN_USUAL, hint="how far does the crank turn from one spark to the next?"
            )
        return
    count = len(order) if order is not None else engine.cylinders
    if count is None:
        faults.add(key, "says nothing without a firing order", allowed="engine.firing_order given as well")
    elif len(angles) != count:
        said = "firing_order" if order is not None else "cylinders"
        faults.add(key, f"does not hold one angle for each of engine.{said}", found=len(angles), allowed=count)
    if any(b < a for a, b in pairwise(angles)):
        why = "should rise from each cylinder to the next in the firing order"
        allowed = "rising angles from 0 up to 720"
        faults.add(key, why, found=", ".join(f"{angle:g}" for angle in angles), allowed=allowed)


def _firing_order(order: tuple[int, ...], cylinders: int | None, faults: Faults) -> None:
    key = ("engine", "firing_order")
    shown = "-".join(map(str, order))
    twice = sorted({number for number in order if order.count(number) > 1})
    beyond = sorted({number for number in order if number > (cylinders or len(order))})
    if twice:
        faults.add(key, f"names cylinder {_list(twice)} more than once", found=shown, allowed="each cylinder once")
    elif cylinders is not None and len(order) != cylinders:
        faults.add(key, "does not name every cylinder once", found=shown, allowed=f"{cylinders} cylinders, each once")
    elif beyond:
        limit = f"the numbers 1 to {cylinders or len(order)}, each once"
        faults.add(key, f"names cylinder {_list(beyond)}, which there is not", found=shown, allowed=limit)


def _pattern(job: Job, faults: Faults) -> None:
    wheel, slot = job.wheel, job.wheel.slot
    if wheel.missing > wheel.teeth - 2 and not wheel.gaps:
        allowed = f"at most {wheel.teeth - 2} of {wheel.teeth}"
        faults.add(("wheel", "missing"), "leaves fewer than two teeth", found=wheel.missing, allowed=allowed)
    key = ("wheel", "slot")
    if slot.sides == "radial" and slot.floor == "round":
        faults.add((*key, "floor"), "a slot with radial sides has no round floor", found="round", allowed="flat")
    rounded = slot.floor == "round" or (slot.floor is None and slot.sides == "parallel")
    if rounded and slot.corner_radius > 0:
        found = f"{typed(slot.corner_radius)}, with a round floor"
        allowed = "floor: flat, or no corner_radius"
        faults.add((*key, "corner_radius"), "belongs to a flat floor", found=found, allowed=allowed)


def _sensor(sensor: Sensor, faults: Faults) -> None:
    gaps = sensor.air_gap_range
    if gaps is not None:
        low, high = gaps
        key = ("sensor", "air_gap_range")
        if low >= high:
            why = "should be the least gap, then the greatest"
            faults.add(key, why, found=f"{typed(low)} to {typed(high)}")
        elif not low <= sensor.air_gap <= high:
            faults.add(
                ("sensor", "air_gap"),
                "lies outside sensor.air_gap_range",
                found=typed(sensor.air_gap) + ("" if "air_gap" in sensor.model_fields_set else ", taken when left out"),
                allowed=f"{typed(low)} to {typed(high)}",
            )
    if sensor.element is not None and KIND_OF[sensor.element] != sensor.kind:
        right = [element for element, kind in KIND_OF.items() if kind == sensor.kind]
        found = f"{sensor.element}, with kind: {sensor.kind}"
        allowed = f"{', '.join(right)}, or kind: {KIND_OF[sensor.element]}"
        faults.add(("sensor", "element"), f"is no element of a {sensor.kind} sensor", found=found, allowed=allowed)
    if sensor.bolt is not None and sensor.thread is not None:
        why = "and sensor.bolt do not go together"
        allowed = "bolt for a flange sensor, or thread for a barrel with two nuts"
        faults.add(("sensor", "thread"), why, found=f"{sensor.thread} and a bolt", allowed=allowed)


def _sees_teeth(job: Job, sensor: Sensor, faults: Faults) -> None:
    """A sensor that looks along at the solid disc, or past the rim, never sees a tooth."""
    rim, depth = job.wheel.outside_diameter / 2, job.wheel.slot.depth
    if sensor.looks == "along" and sensor.radius is not None and not rim - depth < sensor.radius < rim:
        allowed = f"between the slots' floor at {typed(rim - depth)} and the rim at {typed(rim)}"
        faults.add(("sensor", "radius"), "looks where there are no teeth", found=typed(sensor.radius), allowed=allowed)


def _forms(job: Job, faults: Faults) -> None:
    """Keys of one form of wheel in a job of the other."""
    if form_of(job) == "plate":
        if job.pilot is not None and job.wheel.bore is None:
            allowed = "wheel.bore given as well, or an adapter without it"
            faults.add(("adapter", "pilot"), "has no bore to enter", allowed=allowed)
        return
    if job.wheel.as_found is not None:
        why = "is a ready-made ring, which is no wheel that is turned down"
        allowed = "pulley.as_found for the piece it is cut into, or wheel.form: plate"
        faults.add(("wheel", "as_found"), why, allowed=allowed)
    elif job.wheel.bore is not None:
        why = "belongs to a plate wheel; one that is turned down has the pulley's bore"
        faults.add(("wheel", "bore"), why, found=typed(job.wheel.bore), allowed="pulley.bore, or wheel.form: plate")
    if job.pulley is None:
        why = "turned-down needs a pulley to cut the wheel into, and the section `pulley` is missing"
        allowed = "a `pulley` section with `turned`, or form: plate"
        faults.add(("wheel", "form"), why, found="turned-down", allowed=allowed)
    elif job.pulley.turned.count("wheel") != 1:
        _where_the_wheel_is(job.pulley, faults)


def _where_the_wheel_is(pulley: Pulley, faults: Faults) -> None:
    if not pulley.turned:
        why = "is missing: a wheel that is turned down needs to know the pulley as it leaves the lathe"
        allowed = "steps from the front face backwards, with the word `wheel` once where the tooth ring is"
        faults.add(("pulley", "turned"), why, allowed=allowed)
        return
    count = pulley.turned.count("wheel")
    faults.add(
        ("pulley", "turned"),
        "must hold the word `wheel` once, where the tooth ring is",
        found="not once" if count == 0 else f"{count} times",
        allowed="`- wheel` once",
    )


def _bracket(job: Job, faults: Faults) -> None:
    if job.bracket is None:
        return
    _names(job.bracket, faults)
    faces: list[tuple[Key, float | BehindFront]] = [(("bracket", "mount_face"), job.bracket.face)]
    faces += [(("bracket", "obstacles", i, "z"), thing.front) for i, thing in enumerate(job.bracket.obstacles)]
    for key, behind in faces:
        if isinstance(behind, BehindFront) and job.pulley is None:
            why = "is measured from the pulley's front face, and the section `pulley` is missing"
            allowed = f"a `pulley` section, or {key[-1]} as a bare length from the ring's middle"
            faults.add((*key, "behind_front"), why, found=typed(behind.behind_front), allowed=allowed)
    places = [(mount.given_x, mount.given_y) for mount in job.bracket.mounts]
    for i, place in enumerate(places):
        if None not in place and place in places[:i]:
            faults.add(("bracket", "mounts", i), f"is at the same place as mounts[{places.index(place)}]")


def _names(bracket: Bracket, faults: Faults) -> None:
    things = [thing.name for thing in bracket.obstacles]
    for i, name in enumerate(things):
        if name in things[:i] or name in [mount.name for mount in bracket.mounts] or is_reserved(name):
            allowed = "a name of its own, such as pump or hose"
            faults.add(("bracket", "obstacles", i, "name"), "is that of another point", found=name, allowed=allowed)
    names = [mount.name for mount in bracket.mounts]
    for i, name in enumerate(names):
        if name in names[:i]:
            why = f"is that of mounts[{names.index(name)}] too"
            faults.add(("bracket", "mounts", i, "name"), why, found=name, allowed="a name of its own")
        elif is_reserved(name):
            why = "is what readings call another point"
            allowed = "any name but centre, bolt-1, bolt-2 and so on"
            faults.add(("bracket", "mounts", i, "name"), why, found=name, allowed=allowed)


def _balance(job: Job, faults: Faults) -> None:
    balance = job.balance
    if balance is None:
        return
    if balance.band is not None and balance.band[0] >= balance.band[1]:
        why = "should be the least radius, then the greatest"
        faults.add(("balance", "band"), why, found=" to ".join(typed(radius) for radius in balance.band))
    if balance.recheck is not None and balance.reading is None:
        why = "is a second reading, and there is no first"
        allowed = "`balance.reading` with it, or the name `reading` for this one"
        faults.add(("balance", "recheck"), why, found="recheck alone", allowed=allowed)


def _list(numbers: list[int]) -> str:
    return " and ".join(map(str, numbers))
