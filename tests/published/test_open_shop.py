"""Rotations with unequal minutes against the published optima of open shop instances.

The numbers are those of E. Taillard (1993), P. Brucker and others (1997) and C. Guéret and C.
Prins (1999); ``open_shop.json`` names the papers.
"""

import json
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from lessons.planner.course.rotation import Minutes, Rotation, RotationError, least_finish, rotate

PUBLISHED = json.loads((Path(__file__).parent / "open_shop.json").read_text())["instances"]


def faults(minutes: Minutes, rotation: Rotation) -> list[str]:
    """Every two visits in each other's way, and what lies outside the rotation."""
    visits = [
        (squad, station, start, start + spent)
        for squad, rows in enumerate(zip(rotation.starts, minutes, strict=True))
        for station, (start, spent) in enumerate(zip(*rows, strict=True))
    ]
    found = [f"{v} outside" for v in visits if v[2] < 0 or v[3] > rotation.finish]
    for one, other in combinations(visits, 2):
        if (one[0] == other[0] or one[1] == other[1]) and one[2] < other[3] and other[2] < one[3]:
            found.append(f"{one} meets {other}")
    return found


@pytest.mark.parametrize("published", PUBLISHED, ids=lambda row: str(row["name"]))
def test_published_optimum_is_found_and_proven(published: dict[str, Any]) -> None:
    rotation = rotate(published["minutes"], seconds=60)
    assert rotation.proven
    assert rotation.finish == rotation.bound == published["optimum"]
    assert faults(published["minutes"], rotation) == []


def test_published_instances_are_as_many_as_the_sources_say() -> None:
    assert len(PUBLISHED) == 70
    assert all(least_finish(row["minutes"]) <= row["optimum"] for row in PUBLISHED)


def test_squads_of_different_programmes_rotate_too() -> None:
    """Two squads, three stations, one of which the second squad does not need."""
    rotation = rotate([[30, 45, 20], [30, 0, 60]], seconds=10)
    assert rotation.proven
    assert rotation.finish == 95
    assert faults([[30, 45, 20], [30, 0, 60]], rotation) == []


@pytest.mark.parametrize("minutes", [[], [[]], [[30, 20], [30]], [[30, -1]]])
def test_minutes_that_are_no_table_are_refused(minutes: list[list[int]]) -> None:
    with pytest.raises(RotationError):
        rotate(minutes, seconds=1)
