"""From what was found to at most three priorities and six weeks of practice.

Nothing here claims that a drill cures a fault: rules that instructors wrote say which drill serves
which finding, and this module fits them into the time, the equipment and the body a golfer has.
The same input gives the same plan, in whatever order it comes.
"""

from __future__ import annotations

from collections.abc import Iterable

from assessments.practice.choose import Shelf, choose, priority_of
from assessments.practice.values import SHORTEST_MIN, DrillFacts, Need, Proposal, Rule, Time
from assessments.practice.weeks import six_weeks

__all__ = ["DrillFacts", "Need", "Proposal", "Rule", "Time", "propose"]


def propose(
    needs: Iterable[Need],
    rules: Iterable[Rule],
    drills: Iterable[DrillFacts],
    time: Time,
    *,
    equipment: frozenset[str],
    hurts: frozenset[str],
) -> Proposal:
    """Propose what to work on and six weeks of drills for it.

    Parameters
    ----------
    equipment, hurts
        Codes of ``assessments.practice.words``. A drill that needs other equipment, or is to be
        avoided with what hurts, is never proposed.

    Returns
    -------
    Proposal
        With no priority if no need has a drill that can be done. The minutes of a week never
        exceed ``time``; a day's item has at least five minutes, or the whole of a shorter drill.

    Raises
    ------
    ValueError
        If there is less than ten minutes, or no day between one and seven, for practice.
    """
    if time.minutes_a_week < 2 * SHORTEST_MIN or not 1 <= time.days_a_week <= 7:
        raise ValueError("Practice takes ten minutes a week or more, on one to seven days.")
    shelf = Shelf(tuple(rules), {drill.slug: drill for drill in drills}, equipment, hurts)
    choice = choose(needs, shelf, time)
    return Proposal(
        tuple(priority_of(each) for each in choice.priorities),
        six_weeks(choice, time),
        choice.left_out,
    )
