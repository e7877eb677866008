"""What the ranking believes a cause does to a ball, against Monte Carlo through the full geometry."""

from __future__ import annotations

import pytest

from tests.diagnosis.regions import LIMIT, misses, summary

# Its tee lifts the ball from the club and the club from the ground at once, which one height of the arc cannot say.
KNOWN = {"turf-club-teed-high"}


@pytest.mark.parametrize("family", ["driver", "mid-iron"])
def test_fields_of_words_agree_with_played_balls(family: str) -> None:
    """98 words in 100 within 0.03, the mean within 0.008; the script, of more balls, prints what is off by more."""
    found = [miss for miss in misses(family, "intermediate", 6_000) if miss.cause not in KNOWN]
    mean, _, _ = summary(found)
    assert mean < 0.008
    assert max(miss.size - 3 * miss.noise for miss in found) < 0.06
    assert sum(miss.size - miss.noise <= LIMIT for miss in found) >= 0.98 * len(found)
