"""Fields on a regular grid: where a likelihood is kept, blurred by a Gaussian, and looked up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt
from arclore.engine.quantities import Array


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

    def mesh(self) -> list[Array]:
        return list(np.meshgrid(*(axis.points for axis in self.axes), indexing="ij"))

    def blurred(self, field: Array, spread: Array) -> Array:
        """The field convolved with an axis-parallel Gaussian of this standard deviation, the edge values carried on."""
        for dimension, (axis, sd) in enumerate(zip(self.axes, spread, strict=True)):
            if sd > LEAST_BLUR * axis.step:
                field = _along(_blur(axis, float(sd)), field, dimension)
        return field

    def fine(self, field: Array) -> Array:
        """The field on a grid `fineness` times finer, by linear interpolation, flat, for `index`."""
        for dimension, finer in enumerate(self.fineness):
            if finer > 1:
                along = np.ascontiguousarray(np.moveaxis(field, dimension, 0))
                share = (np.arange(finer) / finer).reshape(1, finer, *[1] * (field.ndim - 1))
                made = np.empty(((len(along) - 1) * finer + 1, *along.shape[1:]))
                between = made[:-1].reshape(len(along) - 1, finer, *along.shape[1:])
                np.multiply((along[1:] - along[:-1])[:, None], share, out=between)
                between += along[:-1, None]
                made[-1] = along[-1]
                field = np.moveaxis(made, 0, dimension)
        return field.ravel()

    def index(self, points: Array) -> npt.NDArray[np.intp]:
        """Flat place of points (..., dimensions) in a fine field; points off the grid are brought to its edge."""
        flat: npt.NDArray[np.intp] = np.zeros(points.shape[:-1], dtype=np.intp)
        for dimension, (axis, finer) in enumerate(zip(self.axes, self.fineness, strict=True)):
            last = (axis.count - 1) * finer
            place = np.rint((points[..., dimension] - axis.first) * (finer / axis.step)).astype(np.intp)
            flat *= last + 1
            flat += np.clip(place, 0, last)
        return flat

    def corners(self, points: Array) -> tuple[npt.NDArray[np.intp], Array]:
        """The grid points around points (n, dimensions), to interpolate linearly: flat places and shares (2^d, n)."""
        places, shares = [], []
        for dimension, axis in enumerate(self.axes):
            place = np.clip((points[:, dimension] - axis.first) / axis.step, 0, axis.count - 1)
            low = np.minimum(place.astype(np.intp), axis.count - 2)
            places.append(low)
            shares.append(place - low)
        flat, share = [], []
        for corner in np.ndindex(*(2,) * len(self.axes)):
            at = np.zeros(len(points), dtype=np.intp)
            part = np.ones(len(points))
            for low, above, side, axis in zip(places, shares, corner, self.axes, strict=True):
                at = at * axis.count + low + side
                part = part * (above if side else 1 - above)
            flat.append(at)
            share.append(part)
        return np.stack(flat), np.stack(share)

    def scattered(self, points: Array, weights: Array) -> Array:
        """Weights at points (n, dimensions) laid on the grid, each shared linearly by its neighbours."""
        places, shares = self.corners(points)
        flat = np.bincount(places.ravel(), (shares * weights).ravel(), minlength=math.prod(self.shape))
        return np.asarray(flat.reshape(self.shape))


def side_share(amount: Array, edge: float, value: str) -> Array:
    """Share of each grid cell that lies left of -edge, right of +edge or between, by the amount's own slope there."""
    slopes = [np.gradient(amount, axis=axis) for axis in range(amount.ndim)]
    width = sum(np.abs(slope) for slope in slopes) + 1e-12
    right = np.clip(0.5 + (amount - edge) / width, 0.0, 1.0)
    left = np.clip(0.5 - (amount + edge) / width, 0.0, 1.0)
    return np.asarray({"left": left, "right": right}.get(value, 1.0 - right - left), dtype=float)


def rising(values: Array) -> Array:
    """Values made strictly rising, so that they can be looked up backwards."""
    return np.asarray(np.maximum.accumulate(values) + 1e-9 * np.arange(len(values)))
