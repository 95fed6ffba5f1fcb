"""What is proposed, from cases that can be followed by hand."""

from __future__ import annotations

import pytest

from assessments.practice.propose import Time
from tests.assessments.practice.cases import a_drill, a_need, a_rule, plan


def test_what_costs_most_strokes_comes_first() -> None:
    needs = [
        a_need("unknown", "physical", weight=9.0),
        a_need("little", "bunker", cost=0.2),
        a_need("much", "putting", cost=0.8),
    ]
    drills = [a_drill(need.measure) for need in needs]
    proposal = plan(needs, [a_rule(need, need.measure) for need in needs], drills)
    assert [each.need.measure for each in proposal.priorities] == ["much", "little", "unknown"]


def test_a_second_priority_of_a_station_waits_for_other_stations() -> None:
    needs = [
        a_need("first", "putting", weight=4.0),
        a_need("second", "putting", weight=3.0),
        a_need("sand", "bunker", weight=1.0),
        a_need("chip", "short_game", weight=0.9),
    ]
    drills = [a_drill(need.measure) for need in needs]
    rules = [a_rule(need, need.measure) for need in needs]
    spread = plan(needs, rules, drills)
    assert [each.need.measure for each in spread.priorities] == ["first", "sand", "chip"]
    alone = plan(needs[:3], rules, drills)
    assert [each.need.measure for each in alone.priorities] == ["first", "second", "sand"]


def test_a_need_without_a_drill_that_can_be_done_gives_up_its_place() -> None:
    sand, chip = a_need("sand", "bunker", weight=3.0), a_need("chip", "short_game")
    proposal = plan(
        [sand, chip],
        [a_rule(sand, "splash"), a_rule(chip, "towel")],
        [a_drill("splash", needs=["bunker"]), a_drill("towel")],
        equipment=frozenset(),
    )
    assert [each.need for each in proposal.priorities] == [chip]
    assert proposal.left_out == (
        "Left out: Splash, which needs a practice bunker.",
        "Passed over: Work on sand. None of its drills can be done, so it gives up its place.",
    )


def test_a_drill_that_would_hurt_is_left_out_by_name() -> None:
    need = a_need("turn", "physical")
    proposal = plan(
        [need],
        [a_rule(need, "long-turn"), a_rule(need, "short-turn", 2)],
        [a_drill("long-turn", spares=["back", "hip"]), a_drill("short-turn")],
        hurts=frozenset({"back", "hip"}),
    )
    assert {item.drill for item in proposal.items} == {"short-turn"}
    assert proposal.left_out == ("Left out: Long-Turn, to spare the back and a hip.",)


def test_needs_that_the_same_drills_serve_are_one_priority() -> None:
    iron, wood = a_need("spread", club="iron", weight=2.0), a_need("spread", club="wood")
    proposal = plan([iron, wood], [a_rule(a_need("spread"), "clock")], [a_drill("clock")])
    assert [each.need for each in proposal.priorities] == [iron]
    assert "The drills of another priority serve it." in proposal.left_out[0]


def test_a_strength_is_kept_once_and_is_no_priority() -> None:
    weak, strong = a_need("gate"), a_need("pace", when="better", weight=8.0)
    proposal = plan(
        [weak, strong],
        [a_rule(weak, "gate"), a_rule(strong, "ladder")],
        [a_drill("gate"), a_drill("ladder")],
    )
    assert [each.need for each in proposal.priorities] == [weak]
    kept = [item for item in proposal.items if item.priority is None]
    assert [(item.week, item.drill) for item in kept] == [(4, "ladder")]


def test_why_is_the_line_of_the_first_rule_that_says_only_what_was_found() -> None:
    need = a_need("gate")
    proposal = plan(
        [need],
        [
            a_rule(need, "gate", 1, "It changed by {change}."),
            a_rule(need, "coin", 2, "{value} against {usual} of others."),
        ],
        [a_drill("gate"), a_drill("coin")],
    )
    assert proposal.priorities[0].why == "40 % against 56 % of others."


def test_a_rule_for_the_club_goes_before_one_for_any_club() -> None:
    need = a_need("spread", "ball_flight", club="iron")
    for_any = a_rule(a_need("spread", "ball_flight"), "any", why="Any club.")
    proposal = plan(
        [need], [for_any, a_rule(need, "iron", why="Irons.")], [a_drill("any"), a_drill("iron")]
    )
    assert proposal.priorities[0].why == "Irons."


def test_practice_goes_from_one_drill_to_several_to_the_course() -> None:
    need = a_need("gate")
    names = ("gate", "ladder", "round")
    proposal = plan(
        [need],
        [a_rule(need, name, position) for position, name in enumerate(names)],
        [a_drill("gate"), a_drill("ladder"), a_drill("round", needs=["course"])],
        Time(minutes_a_week=60, days_a_week=3),
    )
    weeks = {
        week: [item.drill for item in proposal.items if item.week == week] for week in range(1, 7)
    }
    assert weeks[1] == weeks[2] == ["gate"]
    assert (weeks[3], weeks[4]) == (["gate", "ladder"], ["ladder", "gate"])
    assert weeks[5][0] == "round"
    assert weeks[6][:2] == ["gate", "round"]


def test_whole_drills_go_before_more_days() -> None:
    need = a_need("gate")
    proposal = plan(
        [need],
        [a_rule(need, "gate")],
        [a_drill("gate", 15)],
        Time(minutes_a_week=40, days_a_week=6),
    )
    assert {(item.days, item.minutes) for item in proposal.items} == {(2, 15)}


def test_plenty_of_time_goes_over_the_drill_again() -> None:
    need = a_need("gate")
    item = plan(
        [need], [a_rule(need, "gate")], [a_drill("gate")], Time(minutes_a_week=200, days_a_week=2)
    ).items[0]
    assert (item.days, item.minutes, item.count) == (2, 30, "10 balls; all of it three times")


def test_a_long_drill_is_begun_and_says_so() -> None:
    need = a_need("gate")
    item = plan(
        [need],
        [a_rule(need, "gate")],
        [a_drill("gate", 60)],
        Time(minutes_a_week=20, days_a_week=2),
    ).items[0]
    assert (item.days, item.minutes, item.count) == (1, 20, "10 balls, as far as the time goes")


def test_little_time_keeps_to_one_priority_and_says_so() -> None:
    needs = [a_need("gate"), a_need("sand", "bunker")]
    rules = [a_rule(need, need.measure) for need in needs]
    proposal = plan(needs, rules, [a_drill("gate"), a_drill("sand")], Time(20, 2))
    assert len(proposal.priorities) == 1
    assert proposal.left_out == (
        "20 minutes a week are enough for one priority; more would get too little.",
    )


def test_who_has_fewer_days_than_priorities_meets_the_others_in_the_second_week() -> None:
    needs = [a_need("gate", weight=2.0), a_need("sand", "bunker")]
    rules = [a_rule(need, need.measure) for need in needs]
    items = plan(needs, rules, [a_drill("gate"), a_drill("sand")], Time(60, 1)).items
    assert [(item.week, item.drill) for item in items][:2] == [(1, "gate"), (2, "sand")]


def test_nothing_found_proposes_nothing() -> None:
    proposal = plan([], [], [a_drill("gate")])
    assert (proposal.priorities, proposal.items) == ((), ())
    assert proposal.left_out == ("Nothing that was found asks for work, as far as can be told.",)


def test_who_has_only_strengths_keeps_the_greatest() -> None:
    pace, gate = a_need("pace", when="better", weight=8.0), a_need("gate", when="better")
    rules = [a_rule(pace, "ladder"), a_rule(gate, "gate")]
    proposal = plan([gate, pace], rules, [a_drill("ladder"), a_drill("gate")])
    assert proposal.priorities == ()
    assert {(item.drill, item.priority) for item in proposal.items} == {("ladder", None)}
    assert {item.week for item in proposal.items} == {1, 2, 3, 4, 5, 6}


@pytest.mark.parametrize("time", [Time(9, 1), Time(60, 0), Time(60, 8)])
def test_no_time_is_no_plan(time: Time) -> None:
    with pytest.raises(ValueError, match="ten minutes a week"):
        plan([], [], [], time)
