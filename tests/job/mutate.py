"""Random damage to good job files, the same for the same number: what a hurried or a malicious hand may do."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

# Values of every YAML type, huge, negative, and of other alphabets; each stands where any other value stood.
VALUES = [
    "~", "null", "true", "no", "0", "-1", "1", "2", "3", "7", "0.5", "-0.0", "1e9", "1000000000", "-1000000000",
    "1e-9", "1e308", "1e999", ".inf", "-.inf", ".nan", "010", "0x10", "0o10", "1:30", "1_000", "2026-01-01",
    "9" * 400, "''", '""', "' '", "text", "[]", "{}", "[1, 2, 3]", "[[1, 2], [3]]", "{a: 1}", "[{a: [b]}]",
    "!!str 5", "!!set {a}", "&a 5", "*a", "!!python/object/apply:os.system ['true']", "|\n  block\n  text", "ä",
    "数", "½", "６", "−5", "5 mm", "5 in", "1/0", "1/4", '3/16"', "30'", "5 deg", "5 rpm", "5 parsec", "wheel",
    "../../etc", '"\\0"', '"\\x1b[31m"', "@", "%", "`", "? x", "- 1", "<<", "1,5", "- {length: 5, diameter: 5}",
    "[wheel, wheel]", "#", "a: b", "'open", "[open", "{open", "clockwise", "plate", "flat", "radial", "along",
    "hand", "0.001", "4999", "719", "-719", "24", "64",
]  # fmt: skip
CHARACTERS = "abz019-_:#{}[],'\"|>&*!%@`?\t \n\\./~éß数\u00a0\u2028\x00\x07\ufeff"
_VALUE = re.compile(r"(?<=: )[^\s{\[#,}\]][^,#}\]\n]*|(?<=: )[\[{][^\n#]*[\]}]")
_NUMBER = re.compile(r"(?<=[:\[,] )-?\d+(?:\.\d+)?(?![\d/'])")
_KEY = re.compile(r"[a-z_]+(?=:)")
_PAIR = re.compile(r"[a-z_]+: [^,{}\[\]\n]+(?:, )?")
WORDS = [
    ("turned-down", "plate"), ("clockwise", "anticlockwise"), ("round", "flat"), ("parallel", "radial"),
    ("in", "along"), ("hall", "reluctance"), ("brake", "hand"), ("holes", "none"), ("outline", "windows"),
    ("mm", "in"), ("G16", "G2.5"),
]  # fmt: skip

Mutation = Callable[[str, random.Random], str]


def _cut(text: str, start: int, end: int, put: str = "") -> str:
    return text[:start] + put + text[end:]


def _spot(pattern: re.Pattern[str], text: str, rng: random.Random) -> tuple[int, int] | None:
    spots = [match.span() for match in pattern.finditer(text)]
    return rng.choice(spots) if spots else None


def swap_value(text: str, rng: random.Random) -> str:
    """Another value in some value's place."""
    spot = _spot(_VALUE, text, rng)
    return _cut(text, *spot, rng.choice(VALUES)) if spot else text


def scale_number(text: str, rng: random.Random) -> str:
    """Some number a little or very much larger, smaller, or on the other side of zero."""
    spot = _spot(_NUMBER, text, rng)
    if spot is None:
        return text
    factor = rng.choice([-1.0, 0.0, 0.01, 0.1, 0.3, 0.5, 0.8, 0.95, 1.05, 1.2, 1.5, 2.0, 3.0, 10.0, 100.0, 1e6])
    return _cut(text, *spot, f"{float(text[slice(*spot)]) * factor:.6g}")


def shift_count(text: str, rng: random.Random) -> str:
    """Some whole number one or a few more or less."""
    spot = _spot(re.compile(r"(?<=[:\[,] )\d+(?![\d./'])"), text, rng)
    return _cut(text, *spot, str(int(text[slice(*spot)]) + rng.choice([-5, -2, -1, 1, 2, 5, 40]))) if spot else text


def other_word(text: str, rng: random.Random) -> str:
    """Another word that is allowed in its place."""
    pair = rng.choice(WORDS)
    old, new = pair if rng.random() < 0.5 else pair[::-1]
    spot = _spot(re.compile(rf"(?<=: ){re.escape(old)}\b"), text, rng)
    return _cut(text, *spot, new) if spot else text


def drop_key(text: str, rng: random.Random) -> str:
    """Some line or some pair in braces left out."""
    if rng.random() < 0.5 and (spot := _spot(_PAIR, text, rng)):
        return _cut(text, *spot)
    lines = text.split("\n")
    del lines[rng.randrange(len(lines))]
    return "\n".join(lines)


def drop_section(text: str, rng: random.Random) -> str:
    """Some section left out, with all that is in it."""
    parts = re.split(r"(?m)^(?=[a-z])", text)
    del parts[rng.randrange(len(parts))]
    return "".join(parts)


def rename_key(text: str, rng: random.Random) -> str:
    """Some key misspelt, or taken for another."""
    spot = _spot(_KEY, text, rng)
    if spot is None:
        return text
    name = text[slice(*spot)]
    at = rng.randrange(len(name))
    other = rng.choice(
        [name[:at] + name[at + 1 :], name[:at] + "x" + name[at:], name.upper(), rng.choice(_KEY.findall(text))]
    )
    return _cut(text, *spot, other)


def double(text: str, rng: random.Random) -> str:
    """Some line or section written twice."""
    if rng.random() < 0.3:
        parts = re.split(r"(?m)^(?=[a-z])", text)
        return text.rstrip("\n") + "\n" + rng.choice(parts)
    lines = text.split("\n")
    at = rng.randrange(len(lines))
    return "\n".join([*lines[: at + 1], *lines[at:]])


def damage(text: str, rng: random.Random) -> str:
    """Some character put in, taken out or changed; a line moved or indented otherwise; the end cut off."""
    at = rng.randrange(len(text) + 1)
    what = rng.randrange(6)
    if what == 0:
        return _cut(text, at, at, rng.choice(CHARACTERS))
    if what == 1:
        return _cut(text, at, at + rng.choice([1, 1, 2, 10, 200]))
    if what == 2:
        return _cut(text, at, at + 1, rng.choice(CHARACTERS))
    if what == 3:
        return text[:at]
    lines = text.split("\n")
    i = rng.randrange(len(lines))
    if what == 4:
        lines[i] = rng.choice([" ", "  ", "\t", "- ", "    "]) + lines[i]
    else:
        j = rng.randrange(len(lines))
        lines[i], lines[j] = lines[j], lines[i]
    return "\n".join(lines)


MUTATIONS: list[Mutation] = [
    swap_value, swap_value, scale_number, scale_number, scale_number, shift_count, other_word, other_word, drop_key,
    drop_section, rename_key, double, damage,
]  # fmt: skip


def mutated(text: str, number: int) -> str:
    """The text with one to three mutations: for the same number always the same."""
    rng = random.Random(number)
    for _ in range(rng.choice([1, 1, 1, 2, 3])):
        text = rng.choice(MUTATIONS)(text, rng)
    return text
