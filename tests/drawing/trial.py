"""A small sheet that has one of everything, for tests of layout and back ends."""

from __future__ import annotations

from wheelcad.drawing.model import (
    Aligned,
    Angular,
    Arc,
    BreakEdge,
    CentreLine,
    CentreMark,
    Circle,
    CuttingPlane,
    Datum,
    DetailCircle,
    Diameter,
    Entity,
    Hatch,
    Line,
    Linear,
    Note,
    Notes,
    Outline,
    Path,
    Radius,
    Sheet,
    Table,
    Text,
    Texture,
    TitleBlock,
    Tolerance,
    TurnArrow,
    Units,
    View,
)
from wheelcad.trade.layers import CHAIN, DOUBLE_CHAIN
from wheelcad.trade.loop import Loop

RING = Loop.polygon([(0, 20), (30, 20), (30, 40), (12, 40), (12, 34), (0, 34)])
TOLERANCE_MM = 0.04


def section() -> View:
    """A half section with diameters, lengths, run-out, datum and texture."""
    entities: tuple[Entity, ...] = (
        Outline(RING),
        Hatch((RING,)),
        CentreLine((0, 0), (30, 0)),
        Path(((0, -20, 0), (0, -34, 0), (12, -34, 0), (12, -40, 0), (30, -40, 0), (30, -20, 0))),
        Path(((0, 34, 0), (0, 42, 0), (30, 42, 0), (30, 40, 0)), "HIDDEN", DOUBLE_CHAIN),
        Linear((0, 34), (12, 34), "above"),
        Linear((0, 34), (30, 40), "above", upper=0.1, lower=-0.1),
        Linear((0, -34), (0, 34), "left", prefix="⌀"),
        Linear((30, -40), (30, 40), "right", prefix="⌀", fit="h7"),
        Linear((30, -20), (30, 20), "right", prefix="⌀", fit="H7", datum="A"),
        Tolerance((21, 40), "run-out", TOLERANCE_MM, ("A",), toward_deg=60, or_tip=(21, -40)),
        Texture((6, 34), 1.6, 100),
    )
    return View("section", entities)


def front() -> View:
    """Circles, holes, angles, leaders, a cutting plane and a detail circle."""
    entities: tuple[Entity, ...] = (
        Circle(0, 0, 40),
        Circle(0, 0, 20, "HOLES"),
        Circle(0, 0, 30, "CENTRE", CHAIN),
        CentreMark(0, 0, 40),
        Circle(30, 0, 3, "HOLES"),
        CentreMark(30, 0, 3),
        Circle(-30, 0, 3, "HOLES"),
        Diameter(30, 0, 3, 20, count=2, below="on ⌀60"),
        Angular(0, 0, 40, 20, 60, exact=True),
        Note((0, -34), "stamp here", 250, end="dot"),
        CuttingPlane((0, 40), (0, -40), "A", 0),
        DetailCircle(-28, -28, 4, "Z", 225),
        TurnArrow(0, 0, 46, 140, 112),
        Datum((-40, 0), "B", 180),
    )
    return View("front", entities, caption="Seen from the front", cell=(1, 0))


def detail() -> View:
    """A view at a scale of its own, with the rarer entities."""
    entities: tuple[Entity, ...] = (
        Arc(0, 0, 3, 180, 360),
        Line((-3, 0), (-3, 5)),
        Line((3, 0), (3, 5)),
        BreakEdge((-3, 5), (3, 5)),
        Radius(0, 0, 3, 225),
        Aligned((-3, 0), (3, 5)),
        Text((-2, 2), "Z", 2.5),
    )
    return View("detail", entities, caption="Z", scale=2.0, cell=(2, 0))


def trial_sheet(units: Units = "mm", papers: tuple[str, ...] = ("A4", "A3")) -> Sheet:
    """All of it with a table, notes and cautions."""
    table = Table("Holes", ("Hole", "Angle", "Size"), (("1", "0°", "⌀6"), ("2", "180°", "⌀6")), align="lrr")
    notes = Notes("Notes", ("Find top dead centre first.", "All sizes ± as ISO 2768-m unless said otherwise."))
    caution = Notes("Caution", ("Spinning metal: guard down, eyes protected.",), caution=True)
    title = TitleBlock("Trial ring", "trial-1", subtitle="one of everything", material="Mild steel", mass="0.4 kg")
    views = (section(), front(), detail())
    return Sheet("trial", title, views, (table,), (notes, caution), papers, units)
