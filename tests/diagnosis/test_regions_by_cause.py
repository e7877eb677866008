"""What the ranking believes a cause does to a ball, against Monte Carlo through the full geometry."""

from __future__ import annotations

import pytest

from tests.diagnosis.regions import misses, summary

# Its tee lifts the ball from the club and the club from the ground at once, which one height of the arc cannot say.
KNOWN = {"turf-club-teed-high"}


@pytest.mark.parametrize("family", ["driver", "mid-iron"])
def test_fields_of_words_agree_with_played_balls(family: str) -> None:
    """Thirteen words in fourteen within 0.03, the mean within 0.012; the script prints what is off by more."""
    found = [miss for miss in misses(family, "intermediate", 6_000) if miss.cause not in KNOWN]
    mean, _, largest = summary(found)
    assert mean < 0.012
    assert largest < 0.16  # a cause that leaves few sound balls: one in five is left to tell the direction by
    assert sum(miss.size <= 0.03 for miss in found) >= 0.93 * len(found)
