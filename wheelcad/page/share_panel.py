"""The page on the phone beside the engine: an address with a one-time key, and its code to scan."""

from __future__ import annotations

import io

from nicegui import ui

from wheelcad.page.desk import shared_words
from wheelcad.page.view import PageView, heading


def draw(view: PageView) -> None:
    """A code for one more device, made when it is asked for; or how to share at all."""
    desk = view.desk
    heading("On the phone beside the engine")
    if not desk.shared:
        ui.label(
            "This page is for this machine alone. To let a phone of your own network in, stop wheelcad and start it "
            f"with: wheelcad design {view.session.path.name} --share"
        )
        return
    ui.label(shared_words(desk.address))
    if not desk.address:
        return
    box = ui.element("div")

    def make() -> None:
        address = desk.one_time(f"/job/{view.work.name}")
        box.clear()
        with box:
            ui.html(qr_svg(address), sanitize=False).classes("wc-code").props('role=img aria-label="code to scan"')
            ui.label(address).classes("wc-key")
            ui.label("It lets one device in, once.").classes("wc-note")

    ui.button("A code for one more device", on_click=make).classes("wc-button").props("data-do=share")


def qr_svg(address: str) -> str:
    """The address as a code to scan: SVG, dark on light with its quiet zone."""
    import segno

    out = io.BytesIO()
    segno.make(address, error="m").save(out, kind="svg", scale=6, border=4, dark="#000", light="#fff", xmldecl=False)
    return out.getvalue().decode("utf-8")
