"""Faults and findings as a list on the page: each in words, with the way to its field and the change that mends it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from nicegui.events import GenericEventArguments

from wheelcad.errors import Fault
from wheelcad.findings import Finding
from wheelcad.page.live_text import Told
from wheelcad.page.view import PageView

Problem = Fault | Finding
SIGNS = {"fault": "✗ fault", "fail": "✗ fails", "warn": "! warns"}


class Problems(Told, component="problems.js"):
    """The list. in_row: below its own field, so without the way there."""

    def __init__(self, view: PageView, in_row: bool = False) -> None:
        super().__init__()
        self._view, self._in_row = view, in_row
        self._known: list[Problem] = []
        self._props["items"] = []
        self._props["row"] = in_row
        self.on("go", self._go)
        self.on("mend", self._mend)

    def show(self, problems: Sequence[Problem]) -> None:
        """Others; nothing is sent where they say the same."""
        self._known = list(problems)
        items = [self._item(number, what) for number, what in enumerate(self._known)]
        self.tell("items", items)

    def _displayed_contents(self, *, only_visible: bool) -> list[Any]:
        """For tests without a browser: all that its lines say."""
        return [f"{item['sign']} {item['text']} go to {item['go']} {item['mend']}" for item in self._props["items"]]

    def _item(self, number: int, what: Problem) -> dict[str, object]:
        mend = self._view.mend_of(what)
        fault = isinstance(what, Fault)
        kind = "fault" if isinstance(what, Fault) else str(what.verdict)
        text = fault_words(self._view, what) if isinstance(what, Fault) else what.told(self._view.words)
        go = what.dotted if isinstance(what, Fault) and what.key and not self._in_row else ""
        sign = "✗" if fault and self._in_row else SIGNS[kind]
        return {"n": number, "kind": kind, "sign": sign, "text": text, "go": go, "mend": mend.said if mend else ""}

    def _pressed(self, event: GenericEventArguments) -> Problem | None:
        """What was pressed; None where the list says something else by now."""
        number = int(event.args["n"])
        said = [item["text"] for item in self._props["items"]]
        return self._known[number] if number < len(said) and said[number] == event.args["text"] else None

    def _go(self, event: GenericEventArguments) -> None:
        what = self._pressed(event)
        if isinstance(what, Fault):
            self._view.take(what.key)

    def _mend(self, event: GenericEventArguments) -> None:
        what = self._pressed(event)
        mend = self._view.mend_of(what) if what is not None else None
        if mend is not None and mend.said == event.args["mend"]:
            self._view.mend(mend)


def fault_words(view: PageView, fault: Fault) -> str:
    """A fault in one sentence."""
    parts = [fault.message]
    if fault.found:
        parts.append(f"found {fault.found}")
    if fault.allowed:
        parts.append(f"allowed {fault.allowed}")
    if fault.hint:
        parts.append(fault.hint)
    return view.words.text("; ".join(parts))
