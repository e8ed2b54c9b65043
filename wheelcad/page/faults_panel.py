"""Everything wrong with the job in one list, and what the trade says of it: each with the way to its field."""

from __future__ import annotations

from nicegui import ui

from wheelcad.errors import Fault
from wheelcad.findings import Finding, poor, tally
from wheelcad.page.session import State
from wheelcad.page.view import View, attribute


def draw(view: View) -> None:
    """Faults first, then findings that failed or warned."""
    with ui.element("section").classes("wc-faults").props('id=wc-faults aria-label="Faults and findings" tabindex=-1'):
        head = ui.label().classes("wc-head").props("role=heading aria-level=2 aria-live=polite")
        box = ui.element("ul").classes("wc-list")
    shown: list[object] = [None]

    def heard(state: State) -> None:
        now = (state.faults, state.findings, state.slow and state.slow.get("mends"))
        if now == shown[0] or state.is_working:
            return
        shown[0] = now
        head.set_text(_head(state))
        box.clear()
        with box:
            for fault in state.faults:
                _fault(view, fault)
            for finding in poor(state.findings):
                _finding(view, finding)

    view.watch(heard)


def _head(state: State) -> str:
    if state.faults:
        n = len(state.faults)
        return f"{n} fault{'s' if n > 1 else ''}: numbers are of the last job that could be made"
    return tally(state.findings)


def _fault(view: View, fault: Fault) -> None:
    with ui.element("li").classes("wc-fault").props("data-kind=fault"):
        ui.label("✗ fault").classes("wc-mark")
        ui.label(fault_words(view, fault))
        if fault.key:
            ui.button(f"go to {fault.dotted}", on_click=lambda: view.take(fault.key)).props("flat no-caps").classes(
                "wc-go"
            )
        mend_button(view, fault)


def _finding(view: View, finding: Finding) -> None:
    sign = "✗ fails" if finding.verdict == "fail" else "! warns"
    with ui.element("li").classes(f"wc-{finding.verdict}").props(f"data-kind={finding.verdict}"):
        ui.label(sign).classes("wc-mark")
        ui.label(finding.told(view.words))
        mend_button(view, finding)


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
