"""A text on the page that follows the job at every key that is pressed.

NiceGUI renders its whole page again for any element that is updated, 50 to 90 ms on a slow machine. What changes while
a person types is told to its own element instead, in a message of a few bytes.
"""

from __future__ import annotations

from nicegui.element import Element


class LiveText(Element, component="live_text.js"):
    """A label: `set_text` says something else."""

    def __init__(self, text: str = "") -> None:
        super().__init__()
        self._props["text"] = text
        self._marks: dict[str, bool] = {}

    @property
    def text(self) -> str:
        """What it says."""
        return str(self._props["text"])

    def set_text(self, text: str) -> None:
        """Say something else; nothing is sent where it is the same."""
        if text != self._props["text"]:
            with self._props.suspend_updates():  # for a page that is drawn later; this one is told below
                self._props["text"] = text
            self.run_method("say", text)

    def class_around(self, around: str, name: str, on: bool) -> None:
        """Give something round this text, by its selector, a class or take it away."""
        if self._marks.get(name) != on:
            self._marks[name] = on
            self.run_method("class_around", around, name, on)
