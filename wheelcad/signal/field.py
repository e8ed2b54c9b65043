"""The field of a pole over a row of teeth with a gap in it: flux against place and air gap, by finite elements.

Plane Laplace for the magnetic potential: iron of the teeth at 0, the pole (its tip and SIDE_MM of its sides) at 1, the
air between them meshed with bilinear quadrilaterals; the sides of the row are joined, the top is open and at 0 (the
field returns there). x runs along the row (mm, 0 at the gap's middle, rising with wheel angle), y across the air gap.
Not modelled: saturation, eddy currents, the ring's thickness, magnetised teeth.

The air is cut in two along a line half-way across the gap, whose columns are evenly spaced. Each half is condensed once
onto that line; moving the pole is turning the lower half's matrix round, so that a place costs one small dense solve.
scikit-fem and scipy are imported here: nothing but `view` and the field's tests loads this module.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.sparse import csc_matrix, csr_matrix
from scipy.sparse.linalg import SuperLU, splu
from skfem import Basis, BilinearForm, ElementQuad1, MeshQuad
from skfem.helpers import dot, grad

from wheelcad.arrays import Floats, Ints
from wheelcad.signal.flux import Flux, Rack

SIDE_MM = 5.0  # of the pole's sides that take part
OPEN_MM = 10.0  # of air above the pole's sides
COLUMNS = (32, 44)  # to a pitch, least and most: of the mesh along the row
COLUMN_MM = 0.45  # wanted
ROWS_IN_GAP = 4  # in each half of the air gap


@dataclass(frozen=True, eq=False)
class _Half:
    """One half of the air, condensed: potentials on the line u (n,) give fluxes into it and into the iron.

    stiffness: (n, n); iron: (n,) flux from iron at potential 1 to the line; own: flux of that iron with the line at 0.
    tip, tip_own: as iron and own for the pole's tip; top: (n,) and top_own the flux into the open top.
    """

    stiffness: Floats
    iron: Floats
    own: float
    tip: Floats
    tip_own: float
    top: Floats
    top_own: float


@BilinearForm  # type: ignore[untyped-decorator]
def _laplace(u: Any, v: Any, _: Any) -> Any:
    return dot(grad(u), grad(v))


def flux_over(
    rack: Rack, pole_mm: float, gap_mm: float, every: int = 2, columns: int | None = None, open_mm: float = OPEN_MM
) -> Flux:
    """Flux of a pole `pole_mm` wide at `gap_mm` over the teeth, at every `every`-th column of the row.

    columns: to a pitch, by `columns_for` when left out. ValueError for a gap or a pole of
    nothing, or a pole wider than half the row.
    """
    if gap_mm <= 0 or not 0 < pole_mm < rack.length / 2:
        raise ValueError("the air gap and the pole are greater than nothing, and the pole narrower than half the row")
    n = (columns or columns_for(rack)) * rack.positions
    below = _rack_half(rack, gap_mm, n)
    above = _pole_half(rack.length, pole_mm, gap_mm, n, open_mm)
    places = np.arange(0, n, every)
    row = np.tile(below.stiffness, (2, 2))  # the pole stays: a window of this is the row turned under it
    pole, tip, lost = (np.empty(len(places)) for _ in range(3))
    for i, k in enumerate(places):
        whole = above.stiffness + row[k : k + n, k : k + n]
        factor = cho_factor(whole.T, overwrite_a=True, check_finite=False)  # symmetric, and so laid out as it is wanted
        u = cho_solve(factor, above.iron, check_finite=False)
        pole[i] = above.own - above.iron @ u
        tip[i] = above.tip_own - above.tip @ u
        teeth = np.roll(below.iron, -k) @ u
        top = above.top_own + above.top @ u
        lost[i] = 1 - (teeth + top) / pole[i]
    x = np.asarray(places * (rack.length / n) - rack.length / 2, dtype=np.float64)
    return Flux(x, pole, tip, lost)


def columns_for(rack: Rack) -> int:
    """Columns of the mesh to a pitch: even, about COLUMN_MM wide within COLUMNS."""
    wanted = rack.length / rack.positions / COLUMN_MM
    return 2 * round(min(max(wanted, COLUMNS[0]), COLUMNS[1]) / 2)


def _rack_half(rack: Rack, gap: float, n: int) -> _Half:
    """From the slot floors to the line: columns moved onto the tooth edges, back to even spacing at the line."""
    depth_rows = _graded(rack.depth, gap / 2 / ROWS_IN_GAP)
    ys = np.concatenate([-depth_rows[::-1], np.linspace(0, gap / 2, ROWS_IN_GAP + 1)[1:]])
    even = _columns(n, rack.length)
    moved = even.copy()
    for edge in (e for tooth in rack.teeth for e in tooth):
        k = int(np.argmin(np.abs(even - edge)))
        if 0 < k < n:
            moved[k] = edge
    k_matrix, p = _assembled(even, ys, lambda y: np.clip(1 - y / (gap / 2), 0, 1), moved)
    x, y = p
    iron = y < -rack.depth + 1e-9
    for start, end in rack.teeth:
        iron |= (y < 1e-9) & (x > start - 1e-9) & (x < end + 1e-9)
    line = y > gap / 2 - 1e-9
    return _condensed(k_matrix, x, line, iron, np.zeros(len(x), dtype=bool), np.zeros(len(x)))


def _pole_half(length: float, pole: float, gap: float, n: int, open_mm: float) -> _Half:
    """From the line to the open top, the pole standing over column 0 of the line."""
    h = length / n
    start = gap / 2 / ROWS_IN_GAP
    tip_rows = np.linspace(gap / 2, gap, ROWS_IN_GAP + 1)
    ys = np.concatenate([tip_rows, gap + _graded(SIDE_MM, start)[1:], gap + SIDE_MM + _graded(open_mm, h)[1:]])
    even = _columns(n, length)
    moved = even.copy()
    for edge in (-pole / 2, pole / 2):
        moved[int(np.argmin(np.abs(even - edge)))] = edge
    k_matrix, p = _assembled(even, ys, lambda y: np.clip((y - gap / 2) / (gap / 2), 0, 1), moved)
    x, y = p
    inside = np.abs(x) < pole / 2 + 1e-9
    iron = inside & (y > gap - 1e-9) & (y < gap + SIDE_MM + 1e-9)
    on_tip = iron & (y < gap + 1e-9)
    weight = np.where(on_tip & (np.abs(np.abs(x) - pole / 2) < 1e-9), 0.5, 1.0) * on_tip
    top = y > gap + SIDE_MM + open_mm - 1e-9
    half = _condensed(k_matrix, x, y < gap / 2 + 1e-9, iron, top, weight)
    # column 0 of the line is x = -length/2: bring the pole over it
    back = -(n // 2)
    return _Half(
        np.roll(half.stiffness, (back, back), axis=(0, 1)),
        np.roll(half.iron, back),
        half.own,
        np.roll(half.tip, back),
        half.tip_own,
        np.roll(half.top, back),
        half.top_own,
    )


def _columns(n: int, length: float) -> Floats:
    """(n + 1,) evenly spaced places from end to end of the row, its middle at 0."""
    return np.asarray(np.arange(n + 1) * (length / n) - length / 2, dtype=np.float64)


def _graded(length: float, first: float, ratio: float = 1.3) -> Floats:
    """Distances from 0 to `length`, steps growing by `ratio` from about `first` to about a millimetre."""
    steps: list[float] = []
    step = first
    while sum(steps) < length:
        steps.append(step)
        step = min(step * ratio, max(first, 1.0))
    at = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(at * (length / at[-1]))


def _assembled(even: Floats, ys: Floats, share: Any, moved: Floats) -> tuple[csr_matrix, Floats]:
    """Laplace's matrix with the last column joined to the first, and the nodes (2, N) that are left.

    share: of the way from `even` to `moved` columns, by y.
    """
    mesh = MeshQuad.init_tensor(even, ys)
    p = mesh.p.copy()
    column = np.clip(np.rint((p[0] - even[0]) / (even[1] - even[0])).astype(int), 0, len(even) - 1)
    p[0] += share(p[1]) * (moved[column] - even[column])
    mesh = MeshQuad(p, mesh.t)
    basis = Basis(mesh, ElementQuad1())
    matrix = _laplace.assemble(basis).tocsr()
    dof_of = basis.nodal_dofs[0]
    last = len(even) - 1
    row = np.searchsorted(ys, p[1] - 1e-9)
    kept_nodes = np.flatnonzero(column < last)
    new = np.full(p.shape[1], -1)
    new[kept_nodes] = np.arange(len(kept_nodes))
    first = np.empty(len(ys), dtype=np.int64)  # the node at the row's beginning that stands for the one at its end
    first[row[column == 0]] = new[column == 0]
    joined = np.where(column < last, new, first[row])
    fold = csr_matrix((np.ones(p.shape[1]), (dof_of, joined)), shape=(matrix.shape[0], len(kept_nodes)))
    return (fold.T @ matrix @ fold).tocsr(), p[:, kept_nodes]


def _condensed(k: csr_matrix, x: Floats, line: Any, iron: Any, top: Any, tip_weight: Floats) -> _Half:
    """Eliminates everything but the line; `iron` is one body, `top` at 0, tip_weight picks the nodes of a tip."""
    on_line = np.flatnonzero(line)[np.argsort(x[line])]
    free = np.flatnonzero(~(line | iron | top))
    held = np.flatnonzero(iron)
    k = k.tocsc()
    inside = _factored(k[free][:, free], "MMD_AT_PLUS_A")
    best = free[np.argsort(inside.perm_c)]  # the order that fills least; the line after it

    def flux(weights: Floats) -> tuple[Floats, float]:
        """Flux out of weighted nodes as (what each line potential brings, what the iron at 1 brings)."""
        row = csr_matrix(weights) @ k
        by_free = inside.solve(row[:, free].toarray()[0])
        left = row - csr_matrix(by_free) @ k[free]
        return left[:, on_line].toarray()[0], float(left[:, held].sum())

    all_iron, own = flux(iron.astype(float))
    tip, tip_own = flux(tip_weight)
    above, above_own = flux(top.astype(float))
    return _Half(_last_left(k, best, on_line), -all_iron, own, -tip, tip_own, -above, -above_own)


def _last_left(k: csc_matrix, first: Ints, last: Ints) -> Floats:
    """What is left of a symmetric matrix between the unknowns `last` when `first` are eliminated: the product of the
    last blocks of its factors, which costs a tenth of a solution for each of `last`."""
    order, n = np.concatenate([first, last]), len(last)
    factors = _factored(k[order][:, order], "NATURAL")
    left = (factors.L[-n:, -n:] @ factors.U[-n:, -n:]).toarray()
    return np.asarray((left + left.T) / 2)


def _factored(k: csc_matrix, order: str) -> SuperLU:
    """The factors of a symmetric and definite matrix, taken in that order: nothing need be exchanged."""
    return splu(k, permc_spec=order, diag_pivot_thresh=0.0, options={"SymmetricMode": True})
