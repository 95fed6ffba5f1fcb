"""Needs, rules and drills made up for the tests of a proposal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hypothesis import strategies as st

from assessments.practice.propose import DrillFacts, Need, Proposal, Rule, Time, propose
from assessments.practice.values import When
from assessments.practice.words import EQUIPMENT, HURTS

WORDS = {"measure": "make rate", "value": "40 %", "usual": "56 %", "change": ""}
EVERYTHING = frozenset(EQUIPMENT)
AN_HOUR = Time(minutes_a_week=90, days_a_week=3)


def a_need(
    measure: str,
    kind: str = "putting",
    *,
    when: When = "low",
    cost: float | None = None,
    weight: float = 1.0,
    club: str = "",
) -> Need:
    return Need(kind, measure, club, when, cost, weight, f"Work on {measure}", WORDS)


def a_drill(
    slug: str, minutes: int = 10, *, needs: Sequence[str] = (), spares: Sequence[str] = ()
) -> DrillFacts:
    return DrillFacts(slug, slug.title(), minutes, "10 balls", frozenset(needs), frozenset(spares))


def a_rule(need: Need, drill: str, position: int = 1, why: str = "{measure} is {value}.") -> Rule:
    return Rule(need.kind, need.measure, need.club_class, need.when, drill, position, why)


def plan(
    needs: Sequence[Need],
    rules: Sequence[Rule],
    drills: Sequence[DrillFacts],
    time: Time = AN_HOUR,
    *,
    equipment: frozenset[str] = EVERYTHING,
    hurts: frozenset[str] = frozenset(),
) -> Proposal:
    return propose(needs, rules, drills, time, equipment=equipment, hurts=hurts)


KINDS, MEASURES, CLUBS = ("putting", "bunker", "ball_flight"), "ab", ("", "iron")
Start = tuple[list[Need], list[Rule], list[DrillFacts]]
SLUGS = tuple(f"drill-{number}" for number in range(8))
WHENS: tuple[When, ...] = ("low", "worse", "better")

needs = st.builds(
    Need,
    kind=st.sampled_from(KINDS),
    measure=st.sampled_from(MEASURES),
    club_class=st.sampled_from(CLUBS),
    when=st.sampled_from(WHENS),
    cost_strokes=st.none() | st.sampled_from((-0.5, 0.0, 0.2, 0.7)),
    weight=st.sampled_from((0.5, 1.0, 2.0)),
    title=st.sampled_from(("Start the ball on line", "Get out of the sand")),
    words=st.just(WORDS),
)
drills = st.lists(
    st.builds(
        DrillFacts,
        slug=st.sampled_from(SLUGS),
        name=st.just("A drill"),
        minutes=st.integers(2, 60),
        count=st.sampled_from(("10 balls", "x" * 80)),
        equipment=st.frozensets(st.sampled_from(("balls", "bunker", "course")), max_size=2),
        avoid_with=st.frozensets(st.sampled_from(tuple(HURTS)[:4]), max_size=1),
    ),
    min_size=1,
    unique_by=lambda drill: drill.slug,
)
times = st.builds(Time, minutes_a_week=st.integers(10, 1200), days_a_week=st.integers(1, 7))


@st.composite
def starts(draw: st.DrawFn) -> Start:
    """Needs with rules for them, of their club or of any, and drills that the rules name."""
    found, library = draw(st.lists(needs, max_size=6)), draw(drills)
    slugs = st.sampled_from([*(drill.slug for drill in library), "a-drill-no-more-in-use"])
    whys = st.sampled_from(("{measure} is {value}.", "It changed by {change}.", "Odd {} braces"))
    rules = [
        replace(a_rule(need, draw(slugs), draw(st.integers(1, 4)), draw(whys)), club_class=club)
        for need in found
        for club in draw(st.lists(st.sampled_from(("", need.club_class)), max_size=4))
    ]
    return found, rules, library
