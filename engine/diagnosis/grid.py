"""Fields on a regular grid: where a likelihood is kept, blurred by a Gaussian, and looked up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

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
        from scipy.ndimage import gaussian_filter1d

        for dimension, (axis, sd) in enumerate(zip(self.axes, spread, strict=True)):
            if sd / axis.step > 0.05:
                field = gaussian_filter1d(field, sd / axis.step, axis=dimension, mode="nearest", truncate=5.0)
        return field

    def fine(self, field: Array) -> Array:
        """The field on a grid `fineness` times finer, by linear interpolation, flat, for `index`."""
        for dimension, (axis, finer) in enumerate(zip(self.axes, self.fineness, strict=True)):
            if finer == 1:
                continue
            shape = list(field.shape)
            shape[dimension] = (axis.count - 1) * finer + 1
            made = np.empty(shape)
            along, into = np.moveaxis(field, dimension, 0), np.moveaxis(made, dimension, 0)
            rise = along[1:] - along[:-1]
            for step in range(finer):
                into[step:-1:finer] = along[:-1] + rise * (step / finer)
            into[-1] = along[-1]
            field = made
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
