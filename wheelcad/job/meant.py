"""What somebody who wrote a value that is not allowed is likely to have meant, in words to write instead.

Loaded only where there is a fault. The words are those that people bring from catalogues, forums and other programs.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence

from wheelcad.errors import Key, nearest
from wheelcad.job import describe
from wheelcad.job.kinds import NO, Kind, Quantity, Whole, YesOrNo
from wheelcad.units import KINDS

# What people write for what is meant, where the spelling alone would not lead there; the first that is allowed counts.
OTHER_WORDS: Mapping[str, tuple[str, ...]] = {
    said: tuple(meant)
    for words, *meant in (
        ("cw", "clockwise"),
        ("ccw acw counterclockwise counter-clockwise", "anticlockwise"),
        ("steel", "mild-steel"),
        ("cast-iron iron", "grey-iron"),
        ("aluminum aluminium", "aluminium-6061"),
        ("stainless", "stainless-430"),
        ("vr variable-reluctance magnetic inductive", "reluctance"),
        ("imperial inches", "in", "inch"),
        ("inch", "in"),
        ("metric millimetres millimeters", "mm"),
        ("high-speed-steel", "hss"),
        ("coil-on-plug cop sequential", "per-cylinder"),
        ("press pressed", "brake"),
        ("center", "centre"),
        ("od diameter", "outside_diameter"),
        ("name", "job"),
        ("rpm", "max_speed"),
        ("gap", "gap_at"),
        ("trigger_wheel target_wheel", "wheel"),
        ("crank", "engine"),
        ("damper", "pulley"),
    )
    for said in words.split()
}
PATTERN = re.compile(r"^([0-9]{1,3})\s*[-/]\s*([0-9]{1,3})$")  # 36-1, as patterns are called
IN_A_ROW = re.compile(r"^[0-9]+([\s,-]+[0-9]+)+$")  # 1-5-3-6-2-4, as firing orders are printed
_PAIR = re.compile(r"^\s*([0-9.]+)\s*(?:-|–|to|x|×|\.\.)\s*([0-9.]+)\s*$", re.IGNORECASE)
_RATIO = re.compile(r"^([0-9]+)\s*:\s*1$|^1\s*[:/]\s*([0-9]+)$")
_CLOCK = re.compile(r"^([0-9]{1,2})(?::([0-5][0-9]))?\s*o['’]?\s?clock$", re.IGNORECASE)
_RADIANS = re.compile(r"^(-?[0-9.]+)\s*rad(?:ians?)?$", re.IGNORECASE)
_TDC = re.compile(r"\b([ab]?tdc|before|after|top dead centre)\b", re.IGNORECASE)
_SECONDS = re.compile(r"^[0-9.]+\s*(?:\"|″|”|arcsec)$")
_BEHIND = re.compile(r"^(\S+(?:\s*(?:mm|in|\"))?)\s+(?:behind|back)\b", re.IGNORECASE)
_ONE_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?(?:\s[0-9]+/[0-9]+|/[0-9]+)?")
_INCH_THREAD = re.compile(r"un[cfs]?\b|bs[wfp]\b|whit|npt|/|\btpi\b|^[0-9#]", re.IGNORECASE)
_SMALL = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_NUMBERS = {word: n for n, word in enumerate(_SMALL, 1)} | {
    "sixteen": 16, "eighteen": 18, "twenty": 20, "twenty-four": 24, "thirty-six": 36, "forty": 40, "sixty": 60,
}  # fmt: skip
_UNIT_WORDS = {
    "millimetre": "mm", "millimeter": "mm", "milimetre": "mm", "milimeter": "mm", "centimetre": "cm", "mms": "mm",
    "ins": "in", "thous": "thou", "degs": "deg", "revs": "rpm", "rpms": "rpm", "gram": "g", "grams": "g",
}  # fmt: skip


def tidy_key(word: str) -> str:
    """A key as it would be spelt here."""
    return word.strip().lower().replace("-", "_").replace(" ", "_")


def other_word(word: str, known: Sequence[str]) -> str:
    """What `word` stands for among those known, by the trade's other names; "" where it is none of them."""
    return next((name for name in OTHER_WORDS.get(word, ()) if name in known), "")


def word_meant(found: object, words: Sequence[str]) -> str:
    """The allowed word that is likely meant, or ""."""
    tidy = str(found).strip().lower().replace("_", "-").replace(" ", "-")
    inside = [word for word in words if tidy.startswith(word) or (len(tidy) > 2 and word.startswith(tidy))]
    parts = [word for word in words if word in tidy.split("-")]
    return other_word(tidy, words) or nearest(tidy, words) or next(iter([*inside, *parts]), "")


def whole_meant(text: str) -> str:
    """The digits of a number written as a word; the text itself where it is none."""
    return str(_NUMBERS.get(text.lower().replace(" ", "-"), text))


def list_meant(key: Key, found: object) -> list[str] | None:
    """The entries of what should have been a list: 1-5-3-6-2-4, 0.5 to 1.5, or 153624 for a firing order."""
    text = str(found).strip() if isinstance(found, str | int) else ""
    if IN_A_ROW.match(text):
        return re.findall(r"[0-9]+", text)
    pair = _PAIR.match(text)
    if pair:
        return [pair[1], pair[2]]
    if key[-1:] == ("firing_order",) and text.isdigit() and len(set(text)) == len(text) > 1:
        return list(text)
    return None


def hint_for(key: Key, found: object) -> str:
    """What to write instead of a value that its kind refused; "" where nobody can tell."""
    field = describe.field_at(key)
    kind = describe.kind_of(field) if field is not None else None
    text = str(found).strip() if isinstance(found, str | int | float) else ""
    if not text or kind is None:
        return ""
    if isinstance(key[-1], int) and IN_A_ROW.match(text):
        return f"a comma stands between entries: {', '.join(re.findall('[0-9]+', text))}"
    return _by_key(key, text) or _by_kind(kind, text)


def _by_key(key: Key, text: str) -> str:
    pattern = PATTERN.match(text)
    if key == ("wheel", "teeth") and pattern:
        return f"write `teeth: {pattern[1]}` and below it `missing: {pattern[2]}`"
    if key[-1] == "missing" and text.lower() in (*NO, "none"):
        return "write 0 for a wheel without a gap"
    if key[-1] == "mount_face":
        behind = _BEHIND.match(text)
        return f"write `mount_face: {{behind_front: {behind[1]}}}`" if behind else ""
    if key[-1] == "thread" and _INCH_THREAD.search(text):
        return "only metric threads are known here: leave `thread` out, and give the clearance hole for the bolt"
    if key == ("job",):
        name = re.sub(r"[^A-Za-z0-9_-]+", "-", text).strip("-_")
        return f"write `job: {name}`" if name else ""
    return ""


def _by_kind(kind: Kind, text: str) -> str:
    if isinstance(kind, YesOrNo):
        letter = text[:1].lower()
        return "write no" if letter == "n" else "write yes" if letter == "y" else ""
    if isinstance(kind, Whole):
        ratio = _RATIO.match(text)
        number = _NUMBERS.get(text.lower().replace(" ", "-"))
        return f"write {ratio[1] or ratio[2]}" if ratio else f"write {number}" if number else ""
    if isinstance(kind, Quantity):
        return (_of_an_angle(text) if kind.kind == "angle" else "") or _of_a_unit(kind.kind, text)
    return ""


def _of_an_angle(text: str) -> str:
    clock, radians = _CLOCK.match(text), _RADIANS.match(text)
    if clock:
        at = (int(clock[1]) % 12 * 30 + int(clock[2] or 0) / 2) % 360
        return (
            f"seen facing the wheel that is {at:g} deg where the crank turns clockwise, {(360 - at) % 360:g} deg where "
            "it turns anticlockwise"
        )
    if radians:
        degrees = math.degrees(float(radians[1]))
        return f"write {degrees if abs(degrees) < 360 else float(radians[1]):.6g} deg"
    if text.lower() == "tdc":
        return "the TDC line is 0 deg"
    if _TDC.search(text):
        return "places are degrees from the TDC line the way the crank turns, 0 to 360, without BTDC or ATDC"
    return f"for seconds of arc write 0' {text}" if _SECONDS.match(text) else ""


def _of_a_unit(kind: str, text: str) -> str:
    """A unit misspelt, or a number among words."""
    numbers = _ONE_NUMBER.findall(text)
    if len(numbers) != 1:
        return ""
    before, after = text.split(numbers[0], 1)
    unit = after.strip().rstrip(".").lower()
    known = [name for name in KINDS[kind] if name.isascii()]
    meant = unit if unit in known and unit != after.strip() else _UNIT_WORDS.get(unit) or _UNIT_WORDS.get(unit[:-1])
    if meant in known:
        return f"write {numbers[0]} {meant}"
    if before.strip(" +-"):
        return f"write the number alone: {numbers[0]}{' ' + unit if unit in known else ''}"
    return ""
