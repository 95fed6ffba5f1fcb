"""The worker's message reaches the action."""

import pytest

from lessons.actions import searching
from lessons.models import Plan
from lessons.tasks import find_plan


def test_the_task_has_the_name_that_plans_are_sent_under() -> None:
    assert find_plan.name == Plan.TASK


def test_the_task_hands_the_plan_to_the_action(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []
    monkeypatch.setattr(searching, "find_plan", seen.append)
    find_plan(7)
    assert seen == [7]
