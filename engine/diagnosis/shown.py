"""In which order causes are shown: likeliest first, the first few of different families.

Causes of one family are kin: much the same evidence speaks for them and much the same check and drill serve them. How
finely a library divides a family should not decide how many other explanations a coach gets to see.
"""

from __future__ import annotations

from collections.abc import Sequence

from arclore.engine.quantities import Array

SHOWN_CAUSES = 12
APART = 3  # so many of the first differ in family
LEAST_SHARE = 0.25  # kin stands back only for a cause at least so likely as itself (a choice of design)


def shown_order(chance: Array, ids: Sequence[str], families: Sequence[str]) -> list[int]:
    """Indices of the causes to show, at most SHOWN_CAUSES. chance: (causes,), from 0 to 1; ids break ties.

    The first is the likeliest. The next places up to APART go to the likeliest cause of a family not yet shown, unless
    that is less than LEAST_SHARE as likely as the likeliest one waiting. The rest follow by chance.
    """
    waiting = sorted(range(len(ids)), key=lambda i: (-round(float(chance[i]), 12), ids[i]))
    first: list[int] = []
    while waiting and len(first) < APART:
        seen = {families[i] for i in first}
        other = next((i for i in waiting if families[i] not in seen), waiting[0])
        chosen = other if chance[other] >= LEAST_SHARE * chance[waiting[0]] else waiting[0]
        waiting.remove(chosen)
        first.append(chosen)
    return [*first, *waiting][:SHOWN_CAUSES]
