"""The marks as the packet's modules know them: they are worked out below, where the checks can reach them."""

from __future__ import annotations

from wheelcad.parts.marks import JOB_MARK, marks_of

__all__ = ["JOB_MARK", "marks_of"]
