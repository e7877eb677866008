"""Fields on a regular grid: where a likelihood is kept, blurred by a Gaussian, and looked up."""

from __future__ import annotations

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

    def scattered(self, points: Array, weights: Array) -> Array:
        """Weights at points (n, dimensions) laid on the grid, each shared linearly by its neighbours."""
        field = np.zeros(self.shape)
        places, shares = [], []
        for dimension, axis in enumerate(self.axes):
            place = np.clip((points[:, dimension] - axis.first) / axis.step, 0, axis.count - 1)
            low = np.minimum(place.astype(np.intp), axis.count - 2)
            places.append(low)
            shares.append(place - low)
        for corner in np.ndindex(*(2,) * len(self.axes)):
            flat = np.zeros(len(points), dtype=np.intp)
            share = weights.copy()
            for low, part, side, axis in zip(places, shares, corner, self.axes, strict=True):
                flat = flat * axis.count + low + side
                share = share * (part if side else 1 - part)
            field += np.bincount(flat, share, minlength=field.size).reshape(self.shape)
        return field
