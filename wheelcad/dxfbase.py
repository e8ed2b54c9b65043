"""An empty DXF document that is the same every time: layers, line types, units, no dates and no GUIDs.

Shared by drawings and cutting files. Drawings are DXF R2013 (AC1027): UTF-8 text, read by practically every program.
Cutting files are R2000 (AC1015), which old tables' programs read as well: ASCII, anything else as \\U+ codes.
The library is loaded with the first document: a process that plans files and writes none goes without.
"""

from __future__ import annotations

import contextlib
import io
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from wheelcad.trade.layers import (
    COLOUR,
    CONTINUOUS,
    DESCRIPTIONS,
    LAYERS,
    NARROW_MM,
    dashes_mm,
)

if TYPE_CHECKING:
    from ezdxf.document import Drawing

DRAWING_VERSION = "R2013"
CUTTING_VERSION = "R2000"
UNICODE_FROM = "AC1021"  # R2007: from here on a file is UTF-8
MILLIMETRES = 4  # $INSUNITS


def new_document(
    layers: tuple[str, ...] = tuple(LAYERS), line_scale: float = 1.0, version: str = DRAWING_VERSION
) -> Drawing:
    """A document in mm with the given layers; line_scale: model mm to a mm of line pattern ($LTSCALE)."""
    import ezdxf

    with _fixed_stamps():
        doc = ezdxf.new(version, setup=False)
    doc.units = MILLIMETRES
    for name, value in (
        ("$INSUNITS", MILLIMETRES),
        ("$MEASUREMENT", 1),
        ("$LUNITS", 2),
        ("$LUPREC", 4),
        ("$LTSCALE", line_scale),
        ("$PSVPSCALE", 1.0),  # some programs print at this scale; left at 0 they print a dot
    ):
        doc.header[name] = value
    for line, description in DESCRIPTIONS.items():
        if line != CONTINUOUS and line not in doc.linetypes:
            dashes = dashes_mm(line, NARROW_MM)
            signed = [d if k % 2 == 0 else -d for k, d in enumerate(dashes)]
            doc.linetypes.add(line, [sum(dashes), *signed], description=description)
    for layer_name in layers:
        layer = LAYERS[layer_name]
        doc.layers.add(layer.name, color=COLOUR, linetype=layer.line, lineweight=round(layer.width_mm * 100))
    return doc


def document_bytes(doc: Drawing) -> bytes:
    """The document as a file's bytes, with fixed dates and GUIDs in place of the day's."""
    out = io.StringIO()
    with _fixed_stamps():
        # the library collects class definitions from a set, whose order changes from run to run
        doc.classes.add_required_classes(doc.dxfversion)
        doc.classes.classes = dict(sorted(doc.classes.classes.items()))
        doc.write(out)
    if doc.dxfversion >= UNICODE_FROM:
        return out.getvalue().encode("utf-8", errors="replace")
    return re.sub(r"[^\x00-\x7f]", lambda m: f"\\U+{ord(m[0]):04X}", out.getvalue()).encode("ascii")


@contextlib.contextmanager
def _fixed_stamps() -> Iterator[None]:
    """While this lasts the library stamps a constant date and GUID; the switch is put back as it was."""
    # the library's switch for its own tests: it reads clock, version and random numbers while it makes and writes a
    # document, into header and object records, and has no other way to be told them; the same job gives the same bytes
    import ezdxf

    options: Any = ezdxf.options
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
