"""What was worked out for one answer and serves the next: a lesson changes one thing at a time."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

import numpy as np
import numpy.typing as npt

Kind = TypeVar("Kind", bound=np.generic)


class Kept:
    """Arrays by key, the longest unused forgotten once they are more than ``most_bytes``. Nobody may write into one."""

    def __init__(self, most_bytes: int) -> None:
        self.most_bytes = most_bytes
        self.bytes = 0
        self._results: OrderedDict[Hashable, npt.NDArray[Any]] = OrderedDict()

    def of(self, key: Hashable, make: Callable[[], npt.NDArray[Kind]]) -> npt.NDArray[Kind]:
        """The array of this key, made where it is not here yet."""
        if key in self._results:
            self._results.move_to_end(key)
            return self._results[key]
        result = self._results[key] = make()
        self.bytes += result.nbytes
        while self.bytes > self.most_bytes and len(self._results) > 1:
            self.bytes -= self._results.popitem(last=False)[1].nbytes
        return result

    def clear(self) -> None:
        """Forget everything."""
        self._results.clear()
        self.bytes = 0
