"""Fields on a regular grid: where a likelihood is kept, blurred by a Gaussian, and looked up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import product

import numpy as np
import numpy.typing as npt
from arclore.engine.quantities import Array

Ints = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Axis:
    """Evenly spaced points from `first` to `last`."""

    first: float
    last: float
    step: float

    @cached_property
    def count(self) -> int:
        return round((self.last - self.first) / self.step) + 1

    @cached_property
    def points(self) -> Array:
        return np.asarray(self.first + self.step * np.arange(self.count), dtype=float)


LEAST_BLUR = 0.05  # steps: less is none
ALONE = 250_000  # multiplications: OpenBLAS, which numpy is built with, does up to 262,144 in one thread


@lru_cache(maxsize=512)
def _blur(axis: Axis, sd: float) -> Array:
    """The matrix (points, points) that blurs values along an axis."""
    from scipy.ndimage import gaussian_filter1d

    blur: Array = gaussian_filter1d(np.eye(axis.count), sd / axis.step, axis=0, mode="nearest", truncate=5.0)
    return blur


def _along(matrix: Array, field: Array, dimension: int) -> Array:
    """A matrix laid on one dimension of a field of one to three."""
    if field.ndim == 1:
        return _times(matrix, field[:, None])[:, 0]
    if dimension == field.ndim - 1:
        return _times(field, matrix.T)
    along = np.moveaxis(field, dimension, -2)
    return np.moveaxis(_times(matrix, along), -2, dimension)


def _times(first: Array, second: Array) -> Array:
    """The matrix product over stacks, in steps too small to be shared out among threads to wait for."""
    rows, inner = first.shape[-2:]
    step = max(1, ALONE // (inner * second.shape[-1]))
    parts = [np.matmul(first[..., at : at + step, :], second) for at in range(0, rows, step)]
    return parts[0] if len(parts) == 1 else np.concatenate(parts, axis=-2)


@dataclass(frozen=True)
class Grid:
    """A regular grid of one to three dimensions."""

    axes: tuple[Axis, ...]
    fineness: tuple[int, ...]  # how many times finer a field is made, axis by axis, before it is looked up

    @property
    def shape(self) -> tuple[int, ...]:
        return tuple(axis.count for axis in self.axes)

    @cached_property
    def places(self) -> int:
        """How many places the finer grid has."""
        return math.prod((axis.count - 1) * finer + 1 for axis, finer in zip(self.axes, self.fineness, strict=True))

    def mesh(self) -> list[Array]:
        return list(np.meshgrid(*(axis.points for axis in self.axes), indexing="ij"))

    def blurred(self, field: Array, spread: Array) -> Array:
        """The field convolved with an axis-parallel Gaussian of this standard deviation, the edge values carried on."""
        for dimension, (axis, sd) in enumerate(zip(self.axes, spread, strict=True)):
            if sd > LEAST_BLUR * axis.step:
                field = _along(_blur(axis, float(sd)), field, dimension)
        return field

    def index(self, points: Array) -> Ints:
        """The place nearest to points (..., dimensions) on the finer grid; points off it are brought to its edge."""
        flat: Ints = np.zeros(points.shape[:-1], dtype=np.intp)
        for dimension, (axis, finer) in enumerate(zip(self.axes, self.fineness, strict=True)):
            last = (axis.count - 1) * finer
            place = np.rint((points[..., dimension] - axis.first) * (finer / axis.step)).astype(np.intp)
            flat *= last + 1
            flat += np.clip(place, 0, last)
        return flat

    def read(self, field: Array, places: Ints) -> Array:
        """A field at places (n,) of ``index``, by linear interpolation."""
        corners, shares = self.around(places)
        return interpolated(field, corners, shares)

    def around(self, places: Ints) -> tuple[Ints, Array]:
        """The grid points around places (n,) of ``index``: flat places and shares (corners, n) to interpolate by."""
        low: list[Ints] = []
        beyond: list[Array | None] = []
        for axis, finer in zip(reversed(self.axes), reversed(self.fineness), strict=True):
            places, place = np.divmod(places, (axis.count - 1) * finer + 1)
            low.insert(0, np.minimum(place // finer, axis.count - 2) if finer > 1 else place)
            beyond.insert(0, (place - low[0] * finer) / finer if finer > 1 else None)
        return self._corners(low, beyond)

    def corners(self, points: Array) -> tuple[Ints, Array]:
        """The grid points around points (n, dimensions): flat places and shares (2^d, n) to interpolate by."""
        low: list[Ints] = []
        beyond: list[Array | None] = []
        for dimension, axis in enumerate(self.axes):
            place = np.clip((points[:, dimension] - axis.first) / axis.step, 0, axis.count - 1)
            low.append(np.minimum(place.astype(np.intp), axis.count - 2))
            beyond.append(place - low[-1])
        return self._corners(low, beyond)

    def _corners(self, low: Sequence[Ints], beyond: Sequence[Array | None]) -> tuple[Ints, Array]:
        """low, beyond: axis by axis the grid point below and how far on it lies, in steps; None where it lies on it."""
        flat, share = [], []
        for corner in product(*((0,) if part is None else (0, 1) for part in beyond)):
            at = np.zeros(len(low[0]), dtype=np.intp)
            part = np.ones(len(low[0]))
            for below, above, side, axis in zip(low, beyond, corner, self.axes, strict=True):
                at = at * axis.count + below + side
                if above is not None:
                    part = part * (above if side else 1 - above)
            flat.append(at)
            share.append(part)
        return np.stack(flat), np.stack(share)

    def scattered(self, points: Array, weights: Array) -> Array:
        """Weights at points (n, dimensions) laid on the grid, each shared linearly by its neighbours."""
        places, shares = self.corners(points)
        flat = np.bincount(places.ravel(), (shares * weights).ravel(), minlength=math.prod(self.shape))
        return np.asarray(flat.reshape(self.shape))


def interpolated(field: Array, corners: Ints, shares: Array) -> Array:
    """A field read between grid points: its values at corners (corners, n), by their shares."""
    flat = field.ravel()
    result: Array = flat[corners[0]] * shares[0]
    for corner, share in zip(corners[1:], shares[1:], strict=True):
        result += flat[corner] * share
    return result


def side_share(amount: Array, edge: float, value: str) -> Array:
    """Share of each grid cell that lies left of -edge, right of +edge or between, by the amount's own slope there."""
    slopes = [np.gradient(amount, axis=axis) for axis in range(amount.ndim)]
    width = np.sqrt(sum(slope**2 for slope in slopes)) + 1e-12
    right = np.clip(0.5 + (amount - edge) / width, 0.0, 1.0)
    left = np.clip(0.5 - (amount + edge) / width, 0.0, 1.0)
    return np.asarray({"left": left, "right": right}.get(value, 1.0 - right - left), dtype=float)


def rising(values: Array) -> Array:
    """Values made strictly rising, so that they can be looked up backwards."""
    return np.asarray(np.maximum.accumulate(values) + 1e-9 * np.arange(len(values)))
