"""Course pairings against the most rounds that are published for the social golfer problem."""

import json
from collections import Counter
from itertools import combinations, product
from pathlib import Path
from typing import Any

import pytest

from lessons.planner.course.fields import Field
from lessons.planner.course.pairings import NoPairings, Round, most_rounds, pair_up, repeated
from lessons.planner.course.starters import STARTERS
from lessons.planner.plan import OutOfTime

PUBLISHED = json.loads((Path(__file__).parent / "social_golfer.json").read_text())["instances"]
NOT_REACHED = {(8, 4): 9}
"""Fewer rounds than are published: nine of ten."""


def faults(rounds: tuple[Round, ...], groups: int, size: int) -> list[str]:
    """Rounds that are not everybody in groups of the size, and pairs that meet again."""
    found = []
    for number, played in enumerate(rounds):
        if len(played) != groups or {len(group) for group in played} != {size}:
            found.append(f"round {number} has groups of another size")
        if sorted(golfer for group in played for golfer in group) != [*range(groups * size)]:
            found.append(f"round {number} leaves somebody out")
    met = Counter(
        frozenset(pair) for played in rounds for group in played for pair in combinations(group, 2)
    )
    return found + [
        f"{sorted(pair)} meet {times} times" for pair, times in met.items() if times > 1
    ]


@pytest.mark.parametrize("published", PUBLISHED, ids=lambda row: f"{row['groups']}-{row['size']}")
def test_published_rounds_are_reached(published: dict[str, Any]) -> None:
    groups, size = published["groups"], published["size"]
    pairings = pair_up(groups, size)
    assert len(pairings.rounds) == NOT_REACHED.get((groups, size), published["rounds"])
    assert faults(pairings.rounds, groups, size) == []


@pytest.mark.parametrize(("groups", "size"), [*product(range(1, 13), range(2, 6))])
def test_no_construction_pairs_anybody_twice(groups: int, size: int) -> None:
    pairings = pair_up(groups, size)
    assert 1 <= len(pairings.rounds) <= most_rounds(groups, size)
    assert faults(pairings.rounds, groups, size) == []


@pytest.mark.parametrize(("groups", "size"), STARTERS)
def test_starters_lead_to_as_many_rounds_as_counting_allows(groups: int, size: int) -> None:
    assert pair_up(groups, size).source == "starter"
    assert len(pair_up(groups, size).rounds) == most_rounds(groups, size)


def test_the_search_finds_kirkmans_schoolgirls_a_week(monkeypatch: pytest.MonkeyPatch) -> None:
    """T. P. Kirkman, "Query VI", Lady's and Gentleman's Diary (1850): six of the seven days."""
    monkeypatch.delitem(STARTERS, (5, 3))
    pairings = pair_up(5, 3, 6, seconds=60)
    assert pairings.source == "search"
    assert faults(pairings.rounds, 5, 3) == []


def test_twelve_in_threes_are_proven_to_have_four_rounds_only() -> None:
    """Counting alone would allow five."""
    assert most_rounds(4, 3) == 5
    with pytest.raises(NoPairings, match="fewer than 5"):
        pair_up(4, 3, 5, seconds=60)


def test_time_that_ends_early_is_not_a_proof() -> None:
    with pytest.raises(OutOfTime):
        pair_up(7, 5, 8, seconds=0.01)


@pytest.mark.parametrize(("groups", "size", "rounds"), [(0, 4, 1), (3, 1, 1), (6, 4, 8), (6, 4, 0)])
def test_rounds_that_cannot_be_are_refused(groups: int, size: int, rounds: int) -> None:
    with pytest.raises(NoPairings):
        pair_up(groups, size, rounds)


def test_a_pair_that_meets_twice_is_named() -> None:
    assert repeated([((0, 1), (2, 3)), ((1, 0), (3, 2))]) == [(0, 1), (2, 3)]


@pytest.mark.parametrize(("prime", "degree"), [(2, 1), (7, 1), (2, 3), (3, 2)])
def test_a_field_distributes_and_every_element_but_zero_has_an_inverse(
    prime: int, degree: int
) -> None:
    field = Field(prime, degree)
    elements = range(field.order)
    for one, two, three in product(elements, repeat=3):
        both = field.add(field.multiply(one, two), field.multiply(one, three))
        assert field.multiply(one, field.add(two, three)) == both
    for one in elements[1:]:
        assert 1 in {field.multiply(one, two) for two in elements}
