"""What the page shows beside the form: one tab a panel. A new panel is a module with `draw` and a line here."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from wheelcad.page import (
    build_panel,
    compare_panel,
    file_panel,
    gapmap_panel,
    measure_panel,
    options_panel,
    scene_panel,
    section_panel,
    share_panel,
    survey_panel,
    text_panel,
)
from wheelcad.page.session import Session
from wheelcad.page.view import PageView


class Panel(NamedTuple):
    """name: in addresses and tests. title: on its tab. draw: makes its elements where it is called."""

    name: str
    title: str
    draw: Callable[[PageView], None]


PANELS: list[Panel] = [
    Panel("scene", "Scene", scene_panel.draw),
    Panel("section", "Section", section_panel.draw),
    Panel("gapmap", "Gap map", gapmap_panel.draw),
    Panel("options", "Patterns", options_panel.draw),
    Panel("compare", "Compare", compare_panel.draw),
    Panel("survey", "Survey", survey_panel.draw),
    Panel("build", "Build", build_panel.draw),
    Panel("wheel", "Cut wheel", measure_panel.draw),
    Panel("file", "Changes", file_panel.draw),
    Panel("text", "Text", text_panel.draw),
    Panel("share", "Phone", share_panel.draw),
]


def panels(session: Session) -> list[Panel]:
    """The panels of a job, in the order of their tabs."""
    return list(PANELS)
