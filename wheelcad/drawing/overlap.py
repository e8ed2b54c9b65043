"""The exact check of a finished page: what runs into what. The layout places; this only looks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wheelcad.drawing.ink import Box, Group, Letters, box_of, letters_box
from wheelcad.drawing.room import Room, boxes_meet, grown, within

EDGE = 1e-6  # mm, of rounding allowed at the frame


def overlaps_on(groups: Sequence[Group], frame: Box) -> Iterator[str]:
    """Faults among a page's groups: text on text or lines, dimension lines over the part, ink outside the frame."""
    drawn = [g for g in groups if g.kind not in ("frame", "title", "block")]
    walls = [g for g in groups if g.kind in ("title", "block")]
    for index, group in enumerate(drawn):
        others = Room()
        for k, other in enumerate(drawn):
            if k != index and other.view == group.view:
                others.add(other)
        yield from (f"{group.name} ({group.view}): {fault}" for fault in others.faults(group))
    boxes = {g.name + g.view: box_of(g.ink) for g in (*drawn, *walls) if g.ink}
    for group in (*drawn, *walls):
        if group.ink and not within(boxes[group.name + group.view], grown(frame, EDGE)):
            yield f"{group.name} ({group.view}): outside the frame"
    yield from _view_faults(drawn, walls)
    yield from _block_faults(walls)


def _view_faults(drawn: Sequence[Group], walls: Sequence[Group]) -> Iterator[str]:
    """Views must keep off each other and off tables, notes and title block."""
    names = list(dict.fromkeys(g.view for g in drawn))
    boxes = [(name, box_of(i for g in drawn if g.view == name for i in g.ink)) for name in names]
    boxes += [(g.name, box_of(g.ink)) for g in walls]
    for k, (name, box) in enumerate(boxes):
        for other, other_box in boxes[k + 1 :]:
            if boxes_meet(grown(box, -EDGE), other_box):
                yield f"{name} and {other} overlap"


def _block_faults(walls: Sequence[Group]) -> Iterator[str]:
    """Words of one table, note or title block must keep off each other."""
    for group in walls:
        words = [i for i in group.ink if isinstance(i, Letters)]
        boxes = [grown(letters_box(i), -0.05) for i in words]
        for k, box in enumerate(boxes):
            for j in range(k + 1, len(boxes)):
                if boxes_meet(box, boxes[j]):
                    yield f"{group.name}: {words[k].text!r} on {words[j].text!r}"
