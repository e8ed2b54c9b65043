"""Which usual pattern the controller would find on the starter, where it finds the job's own at no place."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from wheelcad.signal.decode import default_ratio
from wheelcad.signal.edges import Edges, ideal_edges, passing
from wheelcad.signal.gapmap import PLACES_DEG, cranking_speed, map_margins
from wheelcad.signal.inputs import Inputs

USUAL = ((36, 1), (36, 2), (60, 2))  # fewest teeth first; whether they fit the wheel is for `wheelcad options` to say


def read_instead(edges: Edges, inputs: Inputs, wanted: float) -> tuple[str, float] | None:
    """The first usual pattern with `wanted` margin at some place, as "60-2", and that margin; of none so good the best;
    None where the best is not read either. Geometry alone; the decoder set to what suits each pattern."""
    speed, best = cranking_speed(inputs), ("", 1.0)
    for teeth, missing in USUAL:
        tooth = min(0.5 * 360.0 / teeth, float(np.max(edges.widths_deg)))
        other = ideal_edges(teeth, ((0.0, missing),), tooth, edges.radius_mm)
        one = passing(other, 0.0, inputs.on, 0.0)
        fitted = replace(inputs, ratio=default_ratio((missing,)))
        margin = float(np.nan_to_num(map_margins(one, fitted, speed, inputs.compares, PLACES_DEG)).max())
        if margin > best[1]:
            best = (f"{teeth}-{missing}", margin)
        if margin >= wanted:
            break
    return best if best[0] else None
