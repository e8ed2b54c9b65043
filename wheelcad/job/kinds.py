"""The kinds of value a job file holds: how each is read, what is allowed, and how an editor is told.

A kind stands in a model's annotation, `Annotated[float, Quantity("length", 0, 5000)]`: it reads the value, refuses it
in a shop's words, and says in the JSON Schema what may be written. Values that come from a job file are
`Plain` (unquoted) or ordinary text (quoted): nothing is lost by a YAML reader's guess at what 010 or no may mean.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from wheelcad import units

BARE = {"length": "mm", "angle": "deg", "speed": "rpm", "frequency": "Hz", "mass": "kg", "time": "ms"}
FAULT = "kind"  # the type of the errors raised here, by which the reader of errors knows them

_DIGITS = re.compile(r"^[+-]?[0-9]{1,30}$")
_WHOLE_FLOAT = re.compile(r"^[+-]?[0-9]{1,30}\.0*$")
_NUMBER = re.compile(r"^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,2})?$")
_CLOCK = re.compile(r"^([0-9]{1,2})(?::([0-5][0-9]))?\s*(?:o['’]?\s?clock)?$", re.IGNORECASE)
YES = ("yes", "true", "on")
NO = ("no", "false", "off")


class Plain(str):
    """A value as it stands unquoted in the file."""


def bare_unit(kind: str, job_units: str) -> str:
    """The unit of a number of `kind` that carries none, in a job whose lengths are in `job_units`."""
    return job_units if kind == "length" else BARE[kind]


def units_of(data: object) -> str:
    """The unit of bare lengths in a job's values, which may still be wrong: mm unless they say in."""
    return "in" if isinstance(data, Mapping) and data.get("units") == "in" else "mm"


def refusal(why: str, allowed: str = "", hint: str = "") -> PydanticCustomError:
    """What is raised for a value that is not allowed."""
    return PydanticCustomError(FAULT, "{why}", {"why": why, "allowed": allowed, "hint": hint})


class Kind:
    """What the kinds share: a value is read by `read` alone, and `schema` describes what may be written."""

    def read(self, value: Any, info: ValidationInfo) -> Any:
        """The value, or a refusal."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """JSON Schema of what may be written."""
        raise NotImplementedError

    def allowed(self, job_units: str = "mm") -> str:
        """What may be written, in words."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return self.schema()


@dataclass(frozen=True)
class Quantity(Kind):
    """A number with a unit, held in its base unit: low to high, low itself left out when `above`, high when `below`.

    least: where it is not 0, values between 0 and it are refused as well: 0 means none, and what there is has a size.
    """

    kind: str
    low: float
    high: float
    above: bool = False
    below: bool = False
    least: float = 0.0

    def read(self, value: Any, info: ValidationInfo) -> float:
        """The value in its base unit."""
        job_units = str((info.context or {}).get("units", "mm"))
        bare = bare_unit(self.kind, job_units)
        try:
            number = units.parse(value, self.kind, bare)
        except units.UnitError as error:
            raise refusal(str(error), self.allowed(job_units), error.hint) from None
        if not self._holds(number):
            raise refusal("is out of range", self.allowed(job_units), self._other_unit(value, job_units))
        if self.kind == "length" and (written := units.written_inches(value, job_units)):
            return units.Written(number, written)
        return number + 0.0  # no minus zero

    def _holds(self, number: float) -> bool:
        above = number > self.low if self.above else number >= self.low
        if 0 < number < self.least:
            return False
        return above and (number < self.high if self.below else number <= self.high)

    def _other_unit(self, value: Any, job_units: str) -> str:
        """The likely slip: a bare length that is right in the unit the job is not written in."""
        other = "mm" if job_units == "in" else "in"
        try:
            fits = self.kind == "length" and self._holds(units.parse(f"{value} {other}", "length", other))
        except units.UnitError:
            fits = False
        return (
            f"bare lengths are {'inches' if job_units == 'in' else 'mm'} here: write {value} {other} if that is meant"
            if fits
            else ""
        )

    def allowed(self, job_units: str = "mm") -> str:
        """The range, in the unit that bare numbers have."""
        unit = bare_unit(self.kind, job_units)
        factor = float(units.KINDS[self.kind][unit])
        low, high = _short(self.low / factor), _short(self.high / factor)
        if self.least:
            return f"0, or {_short(self.least / factor)} to {high} {unit}"
        if not self.above and not self.below:
            return f"{low} to {high} {unit}"
        first = f"more than {low}" if self.above else f"at least {low}"
        return f"{first}, {'less than' if self.below else 'at most'} {high} {unit}"

    def schema(self) -> dict[str, Any]:
        """A bare number (its range holds whatever the job's units are) or a text with a unit."""
        number: dict[str, Any] = {"type": "number"}
        number["exclusiveMinimum" if self.above else "minimum"] = self.low
        number["exclusiveMaximum" if self.below else "maximum"] = self.high
        return {"anyOf": [number, {"type": "string", "pattern": units.pattern(self.kind)}]}


@dataclass(frozen=True)
class Whole(Kind):
    """A whole number, low and high included."""

    low: int
    high: int

    def read(self, value: Any, info: ValidationInfo) -> int:
        """The number."""
        if isinstance(value, int) and not isinstance(value, bool):
            number = value
        elif isinstance(value, Plain):
            number = self._read_text(value)
        else:
            quoted = isinstance(value, str) and _DIGITS.match(value)
            raise refusal("should be a whole number", self.allowed(), f"write {value} without quotes" if quoted else "")
        if not self.low <= number <= self.high:
            raise refusal("is out of range", self.allowed())
        return number

    def _read_text(self, text: str) -> int:
        trap = units.number_trap(text)
        if trap is not None:
            raise refusal(str(trap), self.allowed(), trap.hint)
        if _DIGITS.match(text):
            return int(text)
        hint = f"write {text.split('.')[0]}" if _WHOLE_FLOAT.match(text) else ""
        raise refusal("should be a whole number", self.allowed(), hint)

    def allowed(self, job_units: str = "mm") -> str:
        """The range, in words."""
        return f"a whole number from {self.low} to {self.high}"

    def schema(self) -> dict[str, Any]:
        """An integer."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True)
class Number(Kind):
    """A number without a unit: more than low, at most high."""

    low: float
    high: float

    def read(self, value: Any, info: ValidationInfo) -> float:
        """The number."""
        if isinstance(value, Plain):
            trap = units.number_trap(value)
            if trap is not None:
                raise refusal(str(trap), self.allowed(), trap.hint)
            value = float(value) if _NUMBER.match(value) else value
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise refusal("should be a number", self.allowed())
        if not self.low < value <= self.high:
            raise refusal("is out of range", self.allowed())
        return float(value)

    def allowed(self, job_units: str = "mm") -> str:
        """The range, in words."""
        return f"more than {_short(self.low)}, at most {_short(self.high)}"

    def schema(self) -> dict[str, Any]:
        """A number."""
        return {"type": "number", "exclusiveMinimum": self.low, "maximum": self.high}


@dataclass(frozen=True)
class Clock(Kind):
    """A place on a clock's face, as seen facing the wheel with 12 on the TDC line, held in hours: 10:30 is 10.5."""

    def read(self, value: Any, info: ValidationInfo) -> float:
        """The hours, 1 to less than 13."""
        if isinstance(value, int) and not isinstance(value, bool):
            return self._number(value)
        text = str(value).strip() if isinstance(value, str) else ""
        written = _CLOCK.match(text)
        if written is None:
            raise refusal("should be a place on a clock's face", self.allowed())
        hour, minute = int(written[1]), int(written[2] or 0)
        if not 1 <= hour <= 12:
            raise refusal("is no hour of a clock's face", self.allowed(), "straight up is 12" if hour == 0 else "")
        return hour + minute / 60

    def _number(self, number: int) -> float:
        if 1 <= number <= 12:
            return float(number)
        # some YAML readers take 10:30 for sixtieths and hand on 630: what was written can still be told
        hour, minute = divmod(number, 60)
        meant = f"write '{hour}:{minute:02}' in quotes if that is meant" if 1 <= hour <= 12 else ""
        raise refusal("is no hour of a clock's face", self.allowed(), meant)

    def allowed(self, job_units: str = "mm") -> str:
        """The ways to write it."""
        return "10 o'clock, 10 or 10:30, from 1 to 12:59"

    def schema(self) -> dict[str, Any]:
        """A whole hour, or text."""
        hour = "(1[0-2]|[1-9])"
        text = rf"^\s*{hour}(:[0-5][0-9])?\s*([oO]['’]?[ ]?[cC]lock)?\s*$"
        return {"anyOf": [{"type": "integer", "minimum": 1, "maximum": 12}, {"type": "string", "pattern": text}]}


@dataclass(frozen=True)
class YesOrNo(Kind):
    """yes or no, quoted or not: true, false, on and off mean the same."""

    def read(self, value: Any, info: ValidationInfo) -> bool:
        """The answer."""
        if isinstance(value, bool):
            return value
        word = value.strip().lower() if isinstance(value, str) else ""
        if word not in YES + NO:
            raise refusal("should be yes or no", self.allowed())
        return word in YES

    def allowed(self, job_units: str = "mm") -> str:
        """The two words."""
        return "yes or no"

    def schema(self) -> dict[str, Any]:
        """Words for editors that know YAML 1.2, booleans for those that know YAML 1.1."""
        return {"enum": ["yes", "no", "true", "false", "on", "off", True, False]}


@dataclass(frozen=True)
class Text(Kind):
    """Text of at most `longest` characters on one line that matches `pattern`; `what` says so in words."""

    what: str
    longest: int
    pattern: str = ""

    def read(self, value: Any, info: ValidationInfo) -> str:
        """The text exactly as written."""
        if not isinstance(value, str):
            raise refusal(f"should be {self.what}")
        text = str(value) if self.pattern else str(value).rstrip("\n")  # a block of text ends with a line's end
        if len(text) > self.longest:
            raise refusal("is too long", f"at most {self.longest} characters")
        if not text.isprintable():
            raise refusal("holds a line break or a character that cannot be printed", "one line of text")
        if self.pattern and not re.fullmatch(self.pattern, text):
            raise refusal(f"should be {self.what}")
        return text

    def allowed(self, job_units: str = "mm") -> str:
        """What the text is, in words."""
        return self.what

    def schema(self) -> dict[str, Any]:
        """A string; where digits alone would do, a bare number as well, for that is what an editor takes them for."""
        bare = re.fullmatch(self.pattern, "2026") if self.pattern else True
        out: dict[str, Any] = {"type": ["string", "integer"] if bare else "string", "maxLength": self.longest}
        if self.pattern:
            out["pattern"] = f"^{self.pattern}$"
        return out


@dataclass(frozen=True)
class Metric(Text):
    """A metric thread, held as M12x1 however it was spaced and spelt: M12 x 1, m12X1."""

    def read(self, value: Any, info: ValidationInfo) -> str:
        """The thread without spaces."""
        tidy = re.sub(r"\s*[xX×*]\s*", "x", value.strip()) if isinstance(value, str) else value
        return super().read(f"M{tidy[1:]}" if isinstance(tidy, str) and tidy[:1] == "m" else tidy, info)

    def schema(self) -> dict[str, Any]:
        """A string, spaces allowed."""
        number = r"[0-9]+(\.[0-9]+)?"
        pattern = rf"^\s*[Mm]{number}(\s*[xX×*]\s*{number})?\s*$"
        return {"type": "string", "maxLength": self.longest, "pattern": pattern}


def _short(value: float) -> str:
    return (
        f"{value:.3g}"
        if abs(value) < 1
        else f"{round(value, 2):g}"
        if abs(value) < 1e5
        else f"{value:,.0f}".replace(",", " ")
    )
