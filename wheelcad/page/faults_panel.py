"""Everything wrong with the job in one list, and what the trade says of it: each with the way to its field."""

from __future__ import annotations

from typing import NamedTuple

from nicegui import ui

from wheelcad.errors import Fault
from wheelcad.findings import Finding, poor, tally
from wheelcad.page.live_text import LiveText
from wheelcad.page.session import State
from wheelcad.page.view import View, attribute


class Item(NamedTuple):
    """One line of the list. shape: what its elements follow from; text: what may change without them."""

    shape: tuple[object, ...]
    text: str
    what: Fault | Finding


def draw(view: View) -> None:
    """Faults first, then findings that failed or warned."""
    with ui.element("section").classes("wc-faults").props('id=wc-faults aria-label="Faults and findings" tabindex=-1'):
        head = LiveText().classes("wc-head").props("role=heading aria-level=2 aria-live=polite")
        box = ui.element("ul").classes("wc-list")
    shapes: list[tuple[object, ...]] = []
    texts: list[LiveText] = []

    def heard(state: State) -> None:
        if state.is_working:
            return
        head.set_text(_head(state))
        items = [_item(view, what) for what in (*state.faults, *poor(state.findings))]
        fresh = [item.shape for item in items]
        if fresh != shapes:
            shapes[:] = fresh
            box.clear()
            with box:
                texts[:] = [_line(view, item) for item in items]
        for item, text in zip(items, texts, strict=True):
            text.set_text(item.text)

    view.watch(heard)


def _head(state: State) -> str:
    if state.faults:
        n = len(state.faults)
        return f"{n} fault{'s' if n > 1 else ''}: numbers are of the last job that could be made"
    return tally(state.findings)


def _item(view: View, what: Fault | Finding) -> Item:
    mend = view.mend_of(what)
    if isinstance(what, Fault):
        return Item(("fault", what.key, mend), fault_words(view, what), what)
    return Item((what.verdict, what.check, what.subject, mend), what.told(view.words), what)


def _line(view: View, item: Item) -> LiveText:
    """Its elements; the text among them."""
    what = item.what
    kind = "fault" if isinstance(what, Fault) else what.verdict
    sign = {"fault": "✗ fault", "fail": "✗ fails"}.get(kind, "! warns")
    with ui.element("li").classes(f"wc-{kind}").props(f"data-kind={kind}"):
        ui.label(sign).classes("wc-mark")
        text = LiveText(item.text)
        if isinstance(what, Fault) and what.key:
            go = ui.button(f"go to {what.dotted}", on_click=lambda: view.take(what.key))
            go.props("flat no-caps").classes("wc-go")
        mend_button(view, what)
    return text


def mend_button(view: View, what: Fault | Finding) -> None:
    """The nearest value that works, as a button, where one was found."""
    mend = view.mend_of(what)
    if mend is not None:
        button = ui.button(f"✓ {mend.said}", on_click=lambda: view.mend(mend)).props("no-caps outline")
        button.classes("wc-mend").props(f'aria-label="mend it: {attribute(mend.said)}"')


def fault_words(view: View, fault: Fault) -> str:
    """A fault in one sentence."""
    parts = [fault.message]
    if fault.found:
        parts.append(f"found {fault.found}")
    if fault.allowed:
        parts.append(f"allowed {fault.allowed}")
    if fault.hint:
        parts.append(fault.hint)
    return view.words.text("; ".join(parts))
