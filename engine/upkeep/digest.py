"""The digest of an entry: of what it says, not of how its file is laid out.

The parsed entry is written as canonical JSON (Rundgren, Jordan and Erdtman, RFC 8785, 2020, sections 3.2.2 and
3.2.3): no spaces, names in order of their UTF-16 units, numbers as ECMAScript writes them. Whole numbers too long
for that are written out, so that no two differ in content and share a digest.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Set
from decimal import Decimal
from typing import Any

ALGORITHM = "sha256"


def digest(entry: Mapping[str, Any]) -> str:
    """``sha256:`` and 64 hexadecimal digits. Raises ValueError for a number that is not finite."""
    return digest_of_bytes(canonical(entry).encode("utf-8", "surrogatepass"))


def digest_without(entry: Mapping[str, Any], fields: Set[str]) -> str:
    """The digest of what an entry says, these of its fields aside."""
    return digest({name: value for name, value in entry.items() if name not in fields})


def digest_of_bytes(data: bytes) -> str:
    """The digest of bytes as they stand."""
    return f"{ALGORITHM}:{hashlib.sha256(data).hexdigest()}"


def canonical(value: Any) -> str:
    """The value as canonical JSON. Raises ValueError for a number that is not finite, TypeError for no JSON."""
    if value is None or isinstance(value, bool | str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, list | tuple):
        return f"[{','.join(map(canonical, value))}]"
    if isinstance(value, Mapping):
        names = sorted(value, key=lambda name: str(name).encode("utf-16-be", "surrogatepass"))
        return "{" + ",".join(f"{canonical(str(name))}:{canonical(value[name])}" for name in names) + "}"
    raise TypeError(f"{type(value).__name__} is not JSON")


def _number(value: float) -> str:
    if isinstance(value, int):
        return str(value)
    if not math.isfinite(value):
        raise ValueError(f"{value} is not a finite number")
    if value == 0:
        return "0"
    if 1e-6 <= abs(value) < 1e21:
        plain = format(Decimal(repr(value)), "f")
        return plain.rstrip("0").rstrip(".") if "." in plain else plain
    mantissa, _, exponent = repr(value).partition("e")
    return f"{mantissa.removesuffix('.0')}e{int(exponent):+d}"
