"""The questions of `wheelcad new`, in the order of the measuring sheet; each answer is checked as it is given.

What was answered is saved after every answer, so that a person can stop at any question and go on another day. An empty
answer leaves the value invented and marked so; of what few have, it leaves it out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from wheelcad.errors import JobValueError
from wheelcad.job.answers import AnswerError, read_answer
from wheelcad.job.invented import invented_keys, settled_text, value_text
from wheelcad.job.measuring import MEASURES, MOST_THINGS, PICTURES, THINGS, Measure, plain, thing_measures
from wheelcad.job.reader import source_of
from wheelcad.job.starter import starter
from wheelcad.job.text import read_text
from wheelcad.words import Words

Ask = Callable[[str], str]  # shows a prompt, gives the line; EOFError when there is none
Tell = Callable[[str], None]
LEAVE = ("q", "quit", "exit", "stop")
_EITHER = {"pulley.as_found[0].length", "pulley.as_found[0].diameter"}  # what a plate wheel's pulley need not say
_PLATE = {"wheel.bore"}
# asked of everybody, and none is an answer; what goes with them only where there is one
_FEW_HAVE = ("pulley.recess.depth", f"{THINGS}.name")
NONE = ("none", "no", "n", "0")


def applies(measure: Measure, given: Mapping[str, str]) -> bool:
    """Whether the question makes sense after the answers so far."""
    form, key = given.get("wheel.form", "turned-down"), measure.key
    if key == "engine.firing_angles":
        return given.get("engine.cylinders") == "2"
    if key in _PLATE:
        return form == "plate"
    if key in _EITHER:
        return form == "turned-down"
    if key == "pulley.recess.diameter":
        return "pulley.recess.depth" in given
    if key.startswith(THINGS) and plain(key) not in _FEW_HAVE:
        return f"{key.partition(']')[0]}].name" in given
    return True


def questions(given: Mapping[str, str]) -> Iterator[Measure]:
    """Every question in the sheet's order; those of a thing in the way again for the next one, while one is named."""
    yield from (measure for measure in MEASURES if not measure.key.startswith(THINGS))
    for number in range(MOST_THINGS):
        yield from thing_measures(number)
        if f"{THINGS}[{number}].name" not in given:
            return


def converse(name: str, given: dict[str, str], ask: Ask, tell: Tell, save: Callable[[str], None]) -> bool:
    """Ask for everything not given yet, saving the starter's text after each answer. False when left half-way.

    given: answers by dotted key, added to. JobValueError for given answers that make no job.
    """
    save(starter(name, given).text())
    tell("Enter leaves a value invented and marked so; ? says how to measure it; q stops, and keeps what you gave.")
    for measure in questions(given):
        if measure.key in given or not applies(measure, given):
            continue
        said = _one(measure, given, name, ask, tell)
        if said is None:
            return False
        if said:
            given[measure.key] = said
            save(starter(name, given).text())
    return True


def go_on(path: Path, ask: Ask, tell: Tell, save: Callable[[str], None]) -> bool:
    """Ask for what the job at `path` still marks as invented, writing each answer into its place. False when left."""
    text = read_text(path)
    source = source_of(text, str(path))
    waiting = invented_keys(source)
    tell(f"{path} has {len(waiting)} values nobody measured yet. Enter leaves one as it is; ? says how; q stops.")
    for measure in (*MEASURES, *(m for number in range(1, MOST_THINGS) for m in thing_measures(number))):
        if measure.key not in waiting:
            continue
        source = source_of(text, str(path))
        said = _ask(measure, source.units, value_text(source, measure.key), {}, ask, tell)
        if said is None:
            return False
        if said:
            text = settled_text(source, measure.key, said)
            save(text)
    return True


def _one(measure: Measure, given: Mapping[str, str], name: str, ask: Ask, tell: Tell) -> str | None:
    """An accepted answer, "" for none, None to stop. An answer that no starter can be made of is asked for again."""
    while True:
        writer = starter(name, given)
        writer.text()
        units = given.get("units", "mm")
        said = _ask(measure, units, writer.values.get(measure.key, ""), given, ask, tell)
        if not said:
            return said
        try:
            starter(name, {**given, measure.key: said}).text()
        except JobValueError as error:
            for fault in error.faults:
                tell("  " + Words(units).text(f"{fault.message}: found {fault.found}, allowed {fault.allowed}"))
            continue
        return said


def _ask(measure: Measure, units: str, usual: str, given: Mapping[str, str], ask: Ask, tell: Tell) -> str | None:
    """As `_one`, but what the answer does to the others is not looked at."""
    where = f"[{measure.label}] " if measure.label else ""
    few_have = plain(measure.key) in _FEW_HAVE and not usual
    offered = " (none)" if few_have else f" ({usual})" if usual else ""
    again = plain(measure.key) == f"{THINGS}.name" and "[0]" not in measure.key
    asks = measure.asks.replace("What is", "What else is", 1) if again else measure.asks
    remarked = ""
    while True:
        try:
            said = ask(f"{where}{asks}{offered}: ").strip()
        except EOFError:
            return None
        if said.lower() in LEAVE:
            return None
        if said == "?":
            picture = f"; picture {measure.label[0]}: {PICTURES[measure.label[0]]}" if measure.label else ""
            tell(f"  {measure.how}{picture}")
            continue
        if not said or (few_have and said.lower() in NONE):
            return ""
        try:
            cylinders = int(given.get("engine.cylinders", "0"))
            answer = read_answer(measure.key, said, units, cylinders)
        except AnswerError as error:
            tell("  " + Words(units).text(str(error)))
            continue
        if answer.remark and remarked != said:
            tell("  " + Words(units).text(f"{answer.remark} Enter {said} again if it is meant."))
            remarked = said
            continue
        return answer.text
