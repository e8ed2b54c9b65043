"""Natural frequencies and steady loads of a clamped body that may carry a rigid sensor."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse import csr_matrix, eye, kron
from scipy.sparse.linalg import ArpackError, LinearOperator, eigsh, splu

from wheelcad.arrays import Bools, Floats
from wheelcad.checks.fem.elastic import ElasticBody
from wheelcad.checks.fem.model import FemError

LONE_VECTORS = 7  # Lanczos vectors where one frequency is asked for: it stands still after six


@dataclass(frozen=True)
class Attached:
    """A rigid mass hung on the body. motion: (6, 3n), from the body's displacements to the mass's three shifts and
    three turns; inertia: (6, 6), tonnes and tonnes·mm², belonging to that motion."""

    motion: csr_matrix
    inertia: Floats


@dataclass(frozen=True)
class Modes:
    """frequencies: (k,) Hz, rising. shapes: (k, 3n), mass-normalised, the greatest component positive."""

    frequencies: Floats
    shapes: Floats

    def pairs(self) -> Iterator[tuple[float, Floats]]:
        """Each frequency with its shape."""
        for hz, shape in zip(self.frequencies, self.shapes, strict=True):
            yield float(hz), shape


class Solver:
    """A body held still at some of its unknowns, factorised once. fixed: (3n,) true where held."""

    def __init__(
        self, body: ElasticBody, fixed: Bools, attached: Attached | None = None, shift_hz: float = 0.0
    ) -> None:
        """shift_hz: where a body is not held in every direction, a frequency about as high as those looked for."""
        self._free = np.flatnonzero(~fixed)
        self._size = len(fixed)
        self._mass = kron(body.mass, eye(3), format="csr")[self._free][:, self._free]
        self._attached = attached
        self._motion = None if attached is None else attached.motion[:, self._free]
        self._shift = -((2 * math.pi * shift_hz) ** 2)
        if self._shift and attached is not None:
            raise ValueError("a body with a sensor must be held in every direction")
        matrix = body.stiffness[self._free][:, self._free]
        if self._shift:
            matrix = matrix - self._shift * self._mass
        try:
            # symmetric and positive: no pivoting, and an ordering made for it
            self._lu = splu(
                matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
            )
        except RuntimeError:
            raise FemError("the bracket is not held: no bolt-head ring meets its plate") from None

    @property
    def unknowns(self) -> int:
        """How many displacements are solved for."""
        return len(self._free)

    def _times_mass(self, x: Floats) -> Floats:
        out = self._mass @ x
        if self._attached is not None and self._motion is not None:
            out += self._motion.T @ (self._attached.inertia @ (self._motion @ x))
        return np.asarray(out)

    def displacement(self, force: Floats) -> Floats:
        """(3n,) displacements under steady forces (3n,)."""
        return np.asarray(self.displacements(force[None])[0])

    def displacements(self, forces: Floats) -> Floats:
        """(k, 3n) displacements under each of k sets of steady forces (k, 3n)."""
        out = np.zeros((len(forces), self._size))
        out[:, self._free] = self._lu.solve(forces[:, self._free].T).T
        return out

    def modes(self, count: int) -> Modes:
        """The lowest natural frequencies and their shapes."""
        n = len(self._free)
        mass = LinearOperator((n, n), matvec=self._times_mass, dtype=float)
        inverse: Any = LinearOperator((n, n), matvec=self._lu.solve, dtype=float)
        try:
            values, vectors = eigsh(
                mass,
                k=count,
                M=mass,
                sigma=self._shift,
                OPinv=inverse,
                v0=np.ones(n),
                tol=1e-8,
                ncv=LONE_VECTORS if count == 1 else max(12, 2 * count + 1),
            )
        except ArpackError as error:
            raise FemError(f"no natural frequencies were found: {error}") from None
        order = np.argsort(values)
        shapes = np.zeros((count, self._size))
        for row, column in enumerate(order):
            vector = vectors[:, column]
            shapes[row, self._free] = vector * np.sign(vector[np.argmax(np.abs(vector))])
        return Modes(np.sqrt(np.maximum(values[order], 0.0)) / (2 * math.pi), shapes)
