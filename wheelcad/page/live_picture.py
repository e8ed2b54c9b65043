"""An SVG on the page that follows the job; told to its own element, as `live_text` says why."""

from __future__ import annotations

from nicegui.element import Element


class LivePicture(Element, component="live_picture.js"):
    """A drawing of ours: words in it must be escaped already, for it is set as markup."""

    def __init__(self) -> None:
        super().__init__()
        self._props["svg"] = ""

    def set_content(self, svg: str) -> None:
        """Show another; nothing is sent where it is the same."""
        if svg != self._props["svg"]:
            with self._props.suspend_updates():  # for a page that is drawn later; this one is told below
                self._props["svg"] = svg
            self.run_method("show", svg)
