"""What was worked out for one answer and serves the next: a lesson changes one thing at a time."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any


class Kept:
    """Results by key, the longest unused forgotten once there are ``most`` of them. Nobody may write into a result."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()

    def of(self, key: Hashable, make: Callable[[], Any]) -> Any:
        """The result of this key, made where it is not here yet."""
        if key in self._results:
            self._results.move_to_end(key)
            return self._results[key]
        result = self._results[key] = make()
        while len(self._results) > self.most:
            self._results.popitem(last=False)
        return result

    def clear(self) -> None:
        """Forget everything."""
        self._results.clear()
