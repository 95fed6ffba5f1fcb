"""What a plan reached, in words."""

import pytest

from lessons.planner.goals import GOALS
from lessons.queries.goals import GOAL_WORDS, SHORT_WORDS, better_or_worse, goals_in_words

PROVEN = {"name": "idle", "value": 0, "bound": 0, "proven": True}
OPEN = {"name": "walking", "value": 42, "bound": 40, "proven": False}


def test_every_goal_of_the_planner_has_words() -> None:
    assert {goal.name for goal in GOALS} <= set(GOAL_WORDS)
    assert set(GOAL_WORDS) == set(SHORT_WORDS)


def test_a_goal_says_whether_anything_better_is_possible() -> None:
    proven, still_open = goals_in_words([PROVEN, OPEN])
    assert (proven.value, proven.gap, proven.doubt) == ("0", "", "")
    assert (still_open.value, still_open.bound) == ("42 minutes", "40 minutes")
    assert (still_open.gap, still_open.doubt) == ("2 minutes", "Perhaps not the best")


def test_what_was_changed_by_hand_is_counted_and_only_nought_is_known_to_be_best() -> None:
    nought, more = goals_in_words([PROVEN, {**OPEN, "bound": 0}], by_hand=True)
    assert (nought.proven, nought.doubt) == (True, "")
    assert (more.bound, more.gap, more.doubt) == ("", "", "Counted, not looked for")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [(3, 3, "the same"), (3, 1, "2 minutes better"), (1, 2, "1 minute worse")],
)
def test_less_is_better(old: int, new: int, words: str) -> None:
    assert better_or_worse("walking", old, new) == words
