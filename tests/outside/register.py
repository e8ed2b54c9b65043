"""The register of works as the tests ask it."""

from __future__ import annotations

from wheelcad.trade.sources import SOURCES, cited_in

BY_ID = {source.id: source for source in SOURCES}

# words that say a figure is reckoned from the job itself, by a library, or is a custom or a judgement without a source
OWN_WORDS = (
    "computed from", "common practice", "our judgement", "teeth·rpm", "from memory", "the job file", "manifest.json",
    "arithmetic", "geometry", "finite elements", "OpenCASCADE", "mesh topology", "reading it back", "file against file",
    "B-rep against mesh", "stack of lengths", "shifted disc", "half-key", "clearances", "the cutter's width", "shop.",
    "rolling resistance", "beam theory", "720", "closed form", "three kinds of calculation", "list of stops",
    "the hash", "U·ω²", "friction", "mounting", "the file system", "what a job brings", "fonts that drawings carry",
)  # fmt: skip


def accounted_for(words: str) -> bool:
    """Whether a finding's source names a registered work, or says that it is our own reckoning or a custom."""
    return bool(cited_in(words)) or any(own in words for own in OWN_WORDS)
