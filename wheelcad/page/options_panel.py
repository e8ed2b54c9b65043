"""Tooth patterns side by side for this blank, sensor and table, the recommended one marked; one press takes another."""

from __future__ import annotations

from typing import Any

from nicegui import ui

from wheelcad.page.commands import Ran, ran
from wheelcad.page.view import PageView, heading

HEADS = ("Pattern", "Tooth top", "Slot", "A tooth every", "Cuts", "Table exact", "Sync margin", "Verdict")


def draw(view: PageView) -> None:
    """The table and the button that works it out."""
    heading("Which pattern")
    ui.label("What `wheelcad options` says for the job as it is saved; worked out again when asked.").classes("wc-note")
    board = view.work.options
    status = ui.label().props("role=status").classes("wc-status")
    box = ui.element("div").classes("wc-scroll").props('tabindex=0 role=region aria-label="Patterns side by side"')

    async def work_out() -> None:
        status.set_text("Working out the patterns …")
        button.set_enabled(False)
        outcome = await ran(["options", view.session.path, "--json"], view.work.folder)
        board.show(outcome)
        button.set_enabled(True)

    def heard(outcome: Ran | None) -> None:
        if outcome is None:
            return
        status.set_text("" if outcome.code == 0 else "; ".join(outcome.faults))
        box.clear()
        rows = outcome.data.get("rows", []) if outcome.code == 0 and isinstance(outcome.data, dict) else []
        with box:
            if rows:
                _table(view, rows)

    button = ui.button("Work it out", on_click=work_out).classes("wc-button").props("data-do=options")
    view.watch_board(board, heard)


def _table(view: PageView, rows: list[dict[str, Any]]) -> None:
    job = view.state.job
    with ui.element("table").classes("wc-table"):
        with ui.element("thead"), ui.element("tr"):
            for head in (*HEADS, ""):
                with ui.element("th").props("scope=col"):
                    ui.label(head)
        with ui.element("tbody"):
            for row in rows:
                own = job is not None and (row["teeth"], row["missing"]) == (job.wheel.teeth, job.wheel.missing)
                best = bool(row.get("recommended"))
                with ui.element("tr").classes("wc-best" if best else ""):
                    for text in _cells(view, row, own, best):
                        with ui.element("td"):
                            ui.label(text)
                    with ui.element("td"):
                        name = f"{row['teeth']}-{row['missing']}"
                        take = ui.button("take", on_click=lambda name=name: view.set(("wheel", "teeth"), name))
                        take.props(f'flat no-caps aria-label="take {name}"').classes("wc-go")
                        take.set_enabled(row["verdict"] != "fail" and not own)
                with ui.element("tr"), ui.element("td").props(f"colspan={len(HEADS) + 1}").classes("wc-note"):
                    ui.label(str(row["reason"]))


def _cells(view: PageView, row: dict[str, Any], own: bool, best: bool) -> list[str]:
    words, signs = view.words, {"pass": "✓ pass", "warn": "! warn", "fail": "✗ fail", "note": "✓ pass"}
    exact = {True: "yes", False: "no", None: "–"}[row["table_exact"]]
    margin = row.get("starter_margin")
    marks = [f"{row['teeth']}-{row['missing']}", "★ recommended" if best else "", "yours" if own else ""]
    return [
        " ".join(mark for mark in marks if mark),
        words.length(row["tooth_top_mm"]),
        words.length(row["slot_mm"]),
        words.quantity(row["degrees_per_tooth"], "angle"),
        str(row["cuts"]),
        exact,
        f"{margin:.2f}" if isinstance(margin, float | int) else "–",
        signs[row["verdict"]],
    ]
