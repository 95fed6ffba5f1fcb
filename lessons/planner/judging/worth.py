"""What a plan is worth: each goal counted in it, whoever made the plan."""

from collections.abc import Sequence

from lessons.planner.goals import GOALS
from lessons.planner.plan import Placement
from lessons.planner.problem import Problem


def goal_values(problem: Problem, placements: Sequence[Placement]) -> dict[str, int]:
    """The value of every goal that the problem has, in order of importance.

    The plan is whole: every squad has every visit.
    """
    return {goal.name: goal.count(problem, placements) for goal in GOALS if goal.applies(problem)}
