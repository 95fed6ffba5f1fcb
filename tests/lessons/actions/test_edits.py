"""A timetable is changed by hand: moved, pinned, taken back."""

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from lessons.actions import edits
from lessons.actions.edits import copy_plan, move_session, pin_session, undo_edit
from lessons.errors import MoveRefused, NothingToUndo, PlanNotEditable
from lessons.models import Bay, Instructor, Plan, PlanEdit, Session
from lessons.queries.edits import Spot, places_for
from lessons.queries.fit import objections
from school.models import Account, School
from tests.lessons.factories import (
    BayFactory,
    InstructorFactory,
    PlanFactory,
    SessionFactory,
    SquadMemberFactory,
    StationFactory,
    VisitFactory,
    drafted,
    offer_hours,
    small_school,
)

pytestmark = pytest.mark.django_db


GOALS = [{"name": "idle", "value": 0, "bound": 0, "proven": True}]


@pytest.fixture
def plan() -> Plan:
    """A draft that was looked for: two squads, three visits, three bays, two instructors."""
    return drafted(small_school(attendees=0), goals=GOALS)


@pytest.fixture
def session(plan: Plan) -> Session:
    """The last of the first squad."""
    found: Session = plan.sessions.filter(visit__slug="lesson-1").earliest("starts_at", "squad")
    return found


def free(session: Session) -> Spot:
    """The last place that suits."""
    return [spot for spot in places_for(session) if not spot.words][-1]


def moved(session: Session, spot: Spot | None = None, **changes: Any) -> PlanEdit:
    spot = spot or free(session)
    wish: dict[str, Any] = {
        "session": session,
        "day": spot.day,
        "slot": spot.slot,
        "bay": Bay.objects.get(pk=spot.bay_pk),
        "instructor": Instructor.objects.get(pk=spot.instructor_pks[0]),
        "actor": None,
    }
    return move_session(**{**wish, **changes})


def rows(plan: Plan) -> list[tuple[Any, ...]]:
    return list(
        plan.sessions.order_by("starts_at", "squad").values_list(
            "bay", "instructor", "starts_at", "ends_at", "is_pinned"
        )
    )


# Moving


def test_a_session_goes_where_it_is_put(session: Session) -> None:
    spot = free(session)
    moved(session, spot)
    session.refresh_from_db()
    assert session.bay_id == spot.bay_pk
    assert session.starts_at == session.plan.school.slot_instant(spot.day, spot.slot)
    assert (session.ends_at - session.starts_at).total_seconds() == 45 * 60


def test_a_step_says_from_where_to_where(session: Session, front_desk: Account) -> None:
    """A day that opens at nine, with lunch from noon to one."""
    bay = BayFactory.create(name="Green 2")
    step = moved(session, day=2, slot=7, bay=bay, actor=front_desk)
    assert step.words == (
        f"Squad 1: {session.visit} from Fri 10:30, {session.bay} to Sun 15:15, Green 2"
    )
    assert (step.number, step.made_by) == (1, front_desk)


def test_another_instructor_is_named(session: Session) -> None:
    other = Instructor.objects.exclude(pk=session.instructor_id).get()
    step = moved(session, instructor=other)
    assert step.words.endswith(f", {other}")
    assert f", {session.instructor} to " in step.words


def test_what_speaks_against_it_is_said_and_nothing_changes(session: Session) -> None:
    before = rows(session.plan)
    with pytest.raises(MoveRefused, match="at once") as refused:
        moved(session, day=0, slot=0)
    assert "on day 1 from 09:00 to 09:45" in str(refused.value)
    assert (rows(session.plan), session.plan.edits.count()) == (before, 0)


def test_a_session_is_not_moved_to_where_it_is(session: Session) -> None:
    school = session.plan.school
    here = next(
        spot
        for spot in places_for(session)
        if session.starts_at == school.slot_instant(spot.day, spot.slot)
        and spot.bay_pk == session.bay_id
    )
    with pytest.raises(MoveRefused, match="is there already"):
        moved(session, here, instructor=session.instructor)


def test_a_plan_that_was_looked_for_becomes_one_made_by_hand(session: Session) -> None:
    moved(session, day=0, slot=4)
    plan = Plan.objects.get(pk=session.plan_id)
    assert plan.origin == Plan.Origin.HAND
    assert {goal["name"] for goal in plan.goals} >= {"idle", "fairness"}
    assert all(goal["proven"] == (goal["value"] == 0) for goal in plan.goals)
    assert plan.goals[0] == {"name": "idle", "value": 2, "bound": 0, "proven": False}


def test_a_plan_that_breaks_a_rule_is_worth_nothing_until_it_is_mended(session: Session) -> None:
    moved(session)
    VisitFactory.create(programme=session.plan.school.programme, station=session.visit.station)
    undo_edit(plan=session.plan, actor=None)
    assert Plan.objects.get(pk=session.plan_id).goals == []


# Groups


@pytest.fixture
def talk() -> list[Session]:
    """Three squads of one attendee in a talk by two instructors, twelve golfers at most each."""
    station = StationFactory.create(slug="talks")
    plan = PlanFactory.create()
    visit = VisitFactory.create(
        programme=plan.school.programme, station=station, name="Talk", group_ratio=4
    )
    people = InstructorFactory.create_batch(2, teaches=[station])
    for person in people:
        offer_hours(person, plan.school)
    bay = BayFactory.create(name="Room", capacity=3)
    squads = [SquadMemberFactory.create(squad__school=plan.school).squad for _ in range(3)]
    for squad in squads:
        SquadMemberFactory.create(squad=squad)
    return [
        SessionFactory.create(
            plan=plan, visit=visit, bay=bay, squad=squad, instructor=people[number % 2]
        )
        for number, squad in enumerate(squads)
    ]


def test_squads_that_are_together_move_together(talk: list[Session]) -> None:
    assert objections(talk[0].plan) == []
    step = moved(talk[1])
    for session in talk:
        session.refresh_from_db()
    assert {session.starts_at for session in talk} == {talk[0].plan.school.slot_instant(2, 7)}
    assert step.words.startswith("Squads 1, 2, 3: Talk from Fri 09:00, Room to Sun ")
    assert len(step.before) == 3


def test_in_a_group_all_whom_one_taught_go_to_another(talk: list[Session]) -> None:
    other = InstructorFactory.create(teaches=[talk[0].visit.station])
    offer_hours(other, talk[0].plan.school)
    stays = talk[1].instructor_id
    move_session(session=talk[0], day=0, slot=0, bay=talk[0].bay, instructor=other, actor=None)
    taught = list(talk[0].plan.sessions.order_by("squad").values_list("instructor", flat=True))
    assert taught == [other.pk, stays, other.pk]


# Pinning and taking back


def test_a_pinned_session_stays(session: Session) -> None:
    spot = free(session)
    step = pin_session(session=session, pinned=True, actor=None)
    assert step is not None
    assert step.words.endswith("pinned")
    with pytest.raises(MoveRefused, match="is pinned and must stay"):
        moved(session, spot)


def test_what_is_pinned_is_not_pinned_again(session: Session) -> None:
    pin_session(session=session, pinned=True, actor=None)
    assert pin_session(session=session, pinned=True, actor=None) is None
    assert session.plan.edits.count() == 1


def test_a_group_is_pinned_as_one(talk: list[Session]) -> None:
    pin_session(session=talk[2], pinned=True, actor=None)
    assert set(talk[0].plan.sessions.values_list("is_pinned", flat=True)) == {True}


def test_pinning_leaves_the_worth_of_a_plan(session: Session) -> None:
    before = session.plan.goals
    pin_session(session=session, pinned=True, actor=None)
    undo_edit(plan=session.plan, actor=None)
    plan = Plan.objects.get(pk=session.plan_id)
    assert (plan.goals, plan.origin) == (before, Plan.Origin.SEARCH)


def test_steps_are_taken_back_one_by_one(session: Session) -> None:
    states = [rows(session.plan)]
    moved(session)
    states.append(rows(session.plan))
    pin_session(session=session, pinned=True, actor=None)
    undone = undo_edit(plan=session.plan, actor=None)
    assert undone.words.endswith("pinned")
    assert rows(session.plan) == states[1]
    undo_edit(plan=session.plan, actor=None)
    assert rows(session.plan) == states[0]
    with pytest.raises(NothingToUndo):
        undo_edit(plan=session.plan, actor=None)


def test_a_step_from_a_bay_that_is_gone_is_not_taken_back(session: Session) -> None:
    green = BayFactory.create()
    moved(session, bay=green)
    was = PlanEdit.objects.get().before[str(session.pk)]["bay"]
    session.plan.sessions.exclude(pk=session.pk).delete()
    Bay.objects.get(pk=was).delete()
    with pytest.raises(MoveRefused, match="The bay it had before is gone"):
        undo_edit(plan=session.plan, actor=None)


def test_two_at_once_get_one_number_and_the_second_hears_of_it(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody keeps a step between the look at the last one and the writing of the next."""
    spot, before, written = free(session), rows(session.plan), edits._written

    def overtaken(changes: Any) -> Any:
        PlanEdit.objects.get_or_create(
            plan=session.plan, number=1, defaults={"words": "first", "before": {}, "after": {}}
        )
        return written(changes)

    monkeypatch.setattr(edits, "_written", overtaken)
    with pytest.raises(MoveRefused, match="Somebody else changed this timetable just now"):
        moved(session, spot)
    assert rows(session.plan) == before


# What can be changed


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"is_published": True, "published_at": timezone.now()}, "is published. Copy it"),
        ({"published_at": timezone.now()}, "was published once"),
        ({"state": "queued"}, "not ready"),
    ],
)
def test_only_a_draft_can_be_changed(changes: dict[str, Any], words: str, plan: Plan) -> None:
    session = plan.sessions.latest("starts_at")
    spot = free(session)
    Plan.objects.filter(pk=plan.pk).update(**changes)
    changes_by_hand: list[Callable[[], object]] = [
        lambda: moved(session, spot),
        lambda: pin_session(session=session, pinned=True, actor=None),
        lambda: undo_edit(plan=plan, actor=None),
    ]
    for change in changes_by_hand:
        with pytest.raises(PlanNotEditable, match=words):
            change()


def test_a_closed_school_keeps_its_timetable(session: Session) -> None:
    School.objects.update(state=School.State.CLOSED, closed_at=timezone.now())
    with pytest.raises(PlanNotEditable, match="is closed"):
        pin_session(session=session, pinned=True, actor=None)
    with pytest.raises(PlanNotEditable, match="is closed"):
        copy_plan(plan=session.plan, actor=None)


# Copying


def test_a_copy_has_the_same_sessions_and_says_where_it_is_from(plan: Plan) -> None:
    pin_session(session=plan.sessions.all()[0], pinned=True, actor=None)
    copy = copy_plan(plan=plan, actor=None)
    assert rows(copy) == rows(plan)
    assert (copy.origin, copy.state, copy.based_on) == (Plan.Origin.HAND, Plan.State.DONE, plan)
    assert copy.goals[0] == plan.goals[0]
    assert not copy.is_published


def test_a_copy_of_the_published_timetable_can_be_changed(plan: Plan) -> None:
    Plan.objects.filter(pk=plan.pk).update(is_published=True, published_at=timezone.now())
    copy = copy_plan(plan=plan, actor=None)
    before = rows(plan)
    moved(copy.sessions.filter(visit__slug="lesson-1").latest("starts_at"))
    assert (rows(plan), objections(copy)) == (before, [])


def test_what_has_begun_is_over_in_a_copy(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    Plan.objects.filter(pk=plan.pk).update(is_published=True, published_at=timezone.now())
    later = plan.school.slot_instant(0, 3)
    monkeypatch.setattr(timezone, "now", lambda: later)
    copy = copy_plan(plan=plan, actor=None)
    first = copy.sessions.earliest("starts_at", "squad")
    assert copy.kept_before == later
    others = [spot for spot in places_for(first) if (spot.day, spot.slot) != (0, 0)]
    assert all("over and cannot be changed" in spot.words[-1] for spot in others)
