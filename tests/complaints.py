"""Score the engine against real complaints: ``python tests/complaints.py [COMPLAINTS.yaml]``.

The `case` of each complaint is all the engine sees; `accept` is the key. hit@3: an accepted family is among the
families of the first three causes; hit@1: it is the first one's. Where only delivery faults were named, the leading
delivery faults are compared. The baseline answers the three commonest families of the key every time.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from arclore.engine.diagnosis.moves import FULL_SWING
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.library.stack import load_library

DEFAULT = Path(__file__).parents[2] / "shared" / "reference" / "complaints.yaml"


@dataclass(frozen=True)
class Score:
    """Hits of one complaint and what was answered."""

    id: str
    first: bool
    third: bool
    stop_right: bool
    answered: tuple[str, ...]
    wanted: tuple[str, ...]


def complaints(path: Path) -> list[dict[str, Any]]:
    """The complaints of a file: a list of mappings with `id`, `case` and `accept`."""
    found: list[dict[str, Any]] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return found


def full_swing(case: Mapping[str, Any]) -> bool:
    shots = case.get("shots", ())
    return bool(shots) and all(shot["club"] in FULL_SWING for shot in shots)


def scores(found: Iterable[Mapping[str, Any]], bench: Bench) -> list[Score]:
    result = []
    for complaint in found:
        accept = complaint["accept"]
        answer = triage(complaint["case"], bench)
        wanted = accept["families"] or accept["delivery"]
        if accept["families"]:
            answered = [cause["family"] for cause in answer["causes"][:3]]
        else:
            answered = [fault["id"] for fault in answer["delivery_faults"][:3]]
        result.append(
            Score(
                complaint["id"],
                answered[:1] != [] and answered[0] in wanted,
                bool(set(answered) & set(wanted)),
                bool(answer["stop"]) == accept["stop"],
                tuple(answered),
                tuple(wanted),
            )
        )
    return result


def baseline(found: Iterable[Mapping[str, Any]]) -> tuple[float, float]:
    """hit@3 and hit@1 of always answering the three commonest accepted families."""
    keys = [set(complaint["accept"]["families"] or complaint["accept"]["delivery"]) for complaint in found]
    common = [name for name, _ in Counter(name for key in sorted(map(sorted, keys)) for name in key).most_common(3)]
    third = sum(bool(key & set(common)) for key in keys) / len(keys)
    return third, sum(common[0] in key for key in keys) / len(keys)


def main(arguments: list[str]) -> int:
    path = Path(arguments[0]) if arguments else DEFAULT
    if not path.is_file():
        print(f"{path}: no such file; give the complaints file", file=sys.stderr)
        return 2
    bench = Bench(load_library())
    found = complaints(path)
    groups = {
        "full swing, scored": [c for c in found if c["accept"]["scored"] and full_swing(c["case"])],
        "all scored": [c for c in found if c["accept"]["scored"]],
    }
    for title, group in groups.items():
        scored = scores(group, bench)
        count = len(scored)
        third, first = (sum(getattr(s, name) for s in scored) / count for name in ("third", "first"))
        error = (third * (1 - third) / count) ** 0.5
        base3, base1 = baseline(group)
        print(f"{title}: {count} complaints")
        print(f"  hit@3 {third:.3f} (standard error {error:.3f}; commonest three {base3:.3f})")
        print(f"  hit@1 {first:.3f} (commonest {base1:.3f})")
        for s in scored:
            if not s.third or not s.stop_right:
                print(f"  missed {s.id}: answered {', '.join(s.answered)}; accepted {', '.join(s.wanted)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
