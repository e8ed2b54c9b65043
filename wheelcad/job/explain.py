"""One key of the job file in words: what it is, where it is in the measuring sheet, how it is measured, what may be
written, and what is not made without it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pydantic.fields import FieldInfo

from wheelcad.errors import Fault, JobValueError, Key, nearest
from wheelcad.job import describe
from wheelcad.job.measuring import MEASURES, PICTURES, measure_of, plain

# The picture of the measuring sheet in which a section is seen; the longest that fits counts.
SEEN_IN: Mapping[str, str] = {
    "wheel": "G",
    "pulley": "B",
    "pulley.as_found": "A",
    "pulley.turned": "A",
    "pulley.recess.depth": "A",
    "pulley.belts": "C",
    "adapter": "F",
    "sensor": "D",
    "sensor.at": "E",
    "bracket": "F",
    "bracket.mounts": "E",
    "bracket.obstacles": "H",
    "survey": "E",
}
# What is not made, or not known, without a section or key; the longest that fits counts.
WITHOUT: Mapping[str, str] = {
    "job": "anything: it names the folder",
    "wheel": "anything: it is what is made",
    "wheel.marks": "TDC and degree marks on the wheel",
    "engine": "coil pairs, the balance limit, the tooth rate; the crank is taken to turn clockwise, and that is said",
    "pulley": "the blank's drawing and the layout gauge",
    "pulley.bolts": "bolt holes in a plate wheel, and a gauge that registers on them",
    "pulley.turned": "a wheel that is turned down from its pulley",
    "pulley.belts": "the check that the bracket keeps clear of the belts",
    "adapter": "the adapter and its drawing",
    "sensor": "the bracket, the assembly and the numbers for the controller",
    "bracket": "the bracket, its flat for the plasma table and its drawing",
    "bracket.obstacles": "the check that the bracket keeps clear of what else is bolted to the engine",
    "survey": "places of the mounts worked out from distances",
    "controller": "nothing: usual values are assumed, and printed as assumed",
    "tolerances": "nothing: usual values are assumed, and printed as assumed",
    "cam": "a target on the cam",
    "gauge": "the printed layout gauge",
    "balance": "balance holes: the unbalance is reported and nothing is drilled",
    "balance.reading": "a correction after what the finished wheel showed",
    "shop.rotary_table": "the indexing chart and the bench page",
    "shop.cutter": "passes, speeds and the clearing of the gap in the chart",
    "shop.printer": "the check that the gauge fits the printer's bed",
    "shop.plasma": "flats with allowance for the cut, and their checks",
}


def every_key() -> list[str]:
    """Every dotted key of the job file, sections too, in the order of the file."""
    return [".".join((*path, name)) for path, section in describe.sections() for name in describe.keys_of(section)]


def find_key(said: str) -> list[str]:
    """The keys somebody means: the one named, or all that end in the word. JobValueError with the nearest for none."""
    wanted = plain(said.strip().strip("."))
    keys = every_key()
    if wanted in keys:
        return [wanted]
    ends = [key for key in keys if key.endswith(f".{wanted}")]
    if ends:
        return ends
    likely = nearest(wanted, keys) or nearest(wanted.rsplit(".", 1)[-1], {key.rsplit(".", 1)[-1] for key in keys})
    hint = f"did you mean `{likely}`?" if likely else "`wheelcad explain` alone lists the keys"
    raise JobValueError(Fault("is no key of the job file", file="explain", found=said[:60], hint=hint))


def explained(key: str, units: str = "mm") -> Iterator[tuple[str, str]]:
    """What there is to say of a key, as names and texts; units: of the job that allowed ranges are told for."""
    path: Key = tuple(key.split("."))
    field = describe.field_at(path)
    assert field is not None, key
    yield ("what", field.description or "")
    measure, picture = measure_of(key), picture_of(key)
    if picture:
        letter = f", {measure.label}" if measure is not None and measure.label else ""
        yield ("picture", f"{picture}{letter} of the measuring sheet: {PICTURES[picture]}")
    else:
        yield ("picture", "none: it is looked up or chosen, not measured at the engine")
    if measure is not None:
        yield ("measure", measure.how)
    section = describe.section_of(field.annotation)
    if section is not None:
        yield ("keys", ", ".join(describe.keys_of(section)))
    allowed = describe.allowed_at(path, units)
    if allowed and section is None:
        many = "a list, each entry " if describe.list_depth(field) else ""
        yield ("allowed", many + allowed)
    example = describe.example_of(field, units)
    if example is not None:
        yield ("example", f"{path[-1]}: {describe.flow(example)}")
    yield ("left out", left_out(key, field, units))


def picture_of(key: str) -> str:
    """The letter of the picture in which a key is seen, "" for none."""
    measure = measure_of(key)
    if measure is not None and measure.label:
        return measure.label[0]
    return _longest(SEEN_IN, key)


def left_out(key: str, field: FieldInfo, units: str) -> str:
    """What is taken, and what is not made, where a key is left out."""
    made = _longest(WITHOUT, key)
    if field.is_required():
        where = key.rsplit(".", 1)[0] if "." in key else ""
        return f"is an error: {f'the section {where}' if where else 'every job'} needs it" + (
            f"; without {where} is not made: {made}" if made and where and where in WITHOUT else ""
        )
    if key in WITHOUT:
        return f"not made: {made}"
    default = describe.default_of(field, units)
    return f"{default} is taken" if default else "nothing is taken in its place, unless what it is says so"


def _longest(table: Mapping[str, str], key: str) -> str:
    fits = [name for name in table if key == name or key.startswith(f"{name}.")]
    return table[max(fits, key=len)] if fits else ""


def explain_text(said: str, units: str = "mm") -> str:
    """What `wheelcad explain KEY` prints; every key's name where `said` is empty."""
    import textwrap

    if not said:
        return "\n".join(every_key())
    blocks = []
    for key in find_key(said):
        lines = [key]
        for name, text in explained(key, units):
            lines += textwrap.wrap(text, 80, initial_indent=f"  {name:<10}", subsequent_indent=" " * 12)
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks)


def letters() -> dict[str, str]:
    """Label -> dotted key of every value that stands in a picture."""
    return {measure.label: measure.key for measure in MEASURES if measure.label}
