from typing import Any

import pytest

from assessments.errors import EntryRefused
from assessments.stations.base import Context
from assessments.stations.coach_paragraph import STATION


@pytest.mark.parametrize("length", [40, 1200])
def test_a_paragraph_measures_nothing(length: int) -> None:
    assert STATION.compute({"text": "x" * length}, Context()).measures == ()


@pytest.mark.parametrize("text", ["x" * 39, " " * 50, "x" * 1201, None, 7])
def test_too_short_or_too_long_says_by_how_much(text: Any) -> None:
    with pytest.raises(EntryRefused, match="write 40 to 1200"):
        STATION.compute({"text": text}, Context())
