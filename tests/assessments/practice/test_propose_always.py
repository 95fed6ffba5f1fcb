"""What holds of every proposal, whatever it starts from."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from assessments.practice.propose import Proposal, Time
from assessments.practice.values import LONGEST_COUNT, WEEKS
from tests.assessments.practice import cases

some_equipment = st.frozensets(st.sampled_from(("balls", "bunker", "course")))
some_hurts = st.frozensets(st.sampled_from(("back", "neck")))


def minutes_by_week(proposal: Proposal) -> Counter[int]:
    total: Counter[int] = Counter()
    for item in proposal.items:
        total[item.week] += item.days * item.minutes
    return total


@given(cases.starts(), cases.times)
def test_time_is_never_exceeded(start: cases.Start, time: Time) -> None:
    proposal = cases.plan(*start, time)
    assert all(total <= time.minutes_a_week for total in minutes_by_week(proposal).values())
    assert all(1 <= item.days <= time.days_a_week for item in proposal.items)


@given(cases.starts(), cases.times)
def test_in_the_first_weeks_a_day_has_one_drill(start: cases.Start, time: Time) -> None:
    proposal = cases.plan(*start, time)
    for week in (1, 2):
        days = sum(item.days for item in proposal.items if item.week == week)
        assert days <= time.days_a_week


@given(cases.starts(), cases.times)
def test_no_drill_is_cut_below_five_minutes(start: cases.Start, time: Time) -> None:
    whole = {drill.slug: drill.minutes for drill in start[2]}
    for item in cases.plan(*start, time).items:
        assert item.minutes >= min(5, whole[item.drill])


@given(cases.starts(), cases.times, some_equipment, some_hurts)
def test_what_cannot_be_done_is_never_proposed(
    start: cases.Start, time: Time, equipment: frozenset[str], hurts: frozenset[str]
) -> None:
    proposal = cases.plan(*start, time, equipment=equipment, hurts=hurts)
    by_slug = {drill.slug: drill for drill in start[2]}
    proposed = {by_slug[item.drill] for item in proposal.items}
    assert all(drill.equipment <= equipment for drill in proposed)
    assert not any(drill.avoid_with & hurts for drill in proposed)


@given(cases.starts(), cases.times, st.randoms(use_true_random=False))
def test_the_order_of_the_input_does_not_matter(
    start: cases.Start, time: Time, random: Random
) -> None:
    needs, rules, drills = start
    again = cases.plan(
        random.sample(needs, len(needs)),
        random.sample(rules, len(rules)),
        random.sample(drills, len(drills)),
        time,
    )
    assert again == cases.plan(*start, time)


@given(cases.starts(), cases.times)
def test_every_priority_is_practised_and_every_week_is_filled(
    start: cases.Start, time: Time
) -> None:
    proposal = cases.plan(*start, time)
    served = {item.priority for item in proposal.items} - {None}
    assert served == set(range(len(proposal.priorities)))
    assert {item.week for item in proposal.items} in (set(), set(range(1, WEEKS + 1)))


@given(cases.starts(), cases.times)
def test_a_strength_is_no_priority_and_no_measure_is_two(start: cases.Start, time: Time) -> None:
    needs = [each.need for each in cases.plan(*start, time).priorities]
    assert len(needs) <= 3
    assert all(need.when != "better" for need in needs)
    assert len({(need.kind, need.measure, need.club_class) for need in needs}) == len(needs)


@given(cases.starts(), cases.times)
def test_a_drill_serves_one_thing(start: cases.Start, time: Time) -> None:
    proposal = cases.plan(*start, time)
    assert len({item.drill for item in proposal.items}) == len(
        {(item.drill, item.priority) for item in proposal.items}
    )


@given(cases.starts(), cases.times)
def test_what_is_written_fits_the_page(start: cases.Start, time: Time) -> None:
    proposal = cases.plan(*start, time)
    assert all(len(item.count) <= LONGEST_COUNT for item in proposal.items)
    assert all(each.title and each.why for each in proposal.priorities)
    places = Counter((item.week, item.position) for item in proposal.items)
    assert not places or max(places.values()) == 1


@given(cases.starts(), cases.times, st.integers(1, 600))
def test_less_time_gives_no_more_priorities(start: cases.Start, time: Time, less: int) -> None:
    short = replace(time, minutes_a_week=max(10, time.minutes_a_week - less))
    some, all_of_it = cases.plan(*start, short), cases.plan(*start, time)
    assert len(some.priorities) <= len(all_of_it.priorities)


@given(cases.starts(), cases.times, st.integers(1, 600))
def test_less_time_for_the_same_priorities_gives_no_more_drills(
    start: cases.Start, time: Time, less: int
) -> None:
    short = replace(time, minutes_a_week=max(10, time.minutes_a_week - less))
    some, all_of_it = cases.plan(*start, short), cases.plan(*start, time)
    if some.priorities == all_of_it.priorities:
        assert len(some.items) <= len(all_of_it.items)
