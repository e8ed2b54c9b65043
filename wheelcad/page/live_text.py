"""What follows the job at every key that is pressed.

NiceGUI renders its whole page again for any element that is updated, 50 to 90 ms on a slow machine. What changes while
a person types is told to its own element instead, in a message of a few bytes.
"""

from __future__ import annotations

from nicegui.element import Element


class Told(Element):
    """An element that is told what it shows."""

    def tell(self, prop: str, value: object) -> None:
        """Show something else in place of a property; nothing is sent where it is the same."""
        if value != self._props[prop]:
            with self._props.suspend_updates():  # for a page that is drawn later; this one is told below
                self._props[prop] = value
            self.run_method("show", value)


class LiveText(Told, component="live.js"):
    """A label: `set_text` says something else. markup: a drawing of ours, set as markup: words in it are escaped."""

    def __init__(self, text: str = "", markup: bool = False) -> None:
        super().__init__()
        self._props["text"] = text
        self._props["markup"] = markup
        self._marks: dict[str, bool] = {}

    def set_text(self, text: str) -> None:
        """Say something else."""
        self.tell("text", text)

    def class_around(self, around: str, name: str, on: bool) -> None:
        """Give something round this text, by its selector, a class or take it away."""
        if self._marks.get(name) != on:
            self._marks[name] = on
            self.run_method("class_around", around, name, on)
