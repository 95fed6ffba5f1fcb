"""What stands, and that asking for more of it costs no more queries."""

import pytest

from assessments.models import Entry
from assessments.queries.entries import (
    counterpart,
    current_entries,
    measures_by_name,
    recorded_counts,
    session_of,
    session_progress,
    standing_entries,
)
from assessments.queries.stills import stills_of
from lessons.models import Plan, Session
from school.models import Account, Enrolment
from tests.assessments.factories import (
    EntryFactory,
    MeasureFactory,
    StillFactory,
    attendee_of,
    marking,
    session_at,
)
from tests.factories import EnrolmentFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "putting", squad=3)


def measured(enrolment: Enrolment, **fields: object) -> Entry:
    entry: Entry = EntryFactory.create(enrolment=enrolment, **fields)
    for metres in (1, 2, 3):
        MeasureFactory.create(entry=entry, name=f"make_rate_{metres}m")
    return entry


def test_a_correction_stands_in_place_of_what_it_supersedes() -> None:
    first = EntryFactory.create()
    second = EntryFactory.create(enrolment=first.enrolment, supersedes=first)
    EntryFactory.create()
    assert list(current_entries([first.enrolment])) == [second]


def test_measures_come_by_name() -> None:
    found = measures_by_name(measured(EnrolmentFactory.create()))
    assert found["make_rate_2m"].value == 50
    assert set(found) == {"make_rate_1m", "make_rate_2m", "make_rate_3m"}


def test_n_attendees_cost_what_2n_cost() -> None:
    enrolments = EnrolmentFactory.create_batch(4)
    for enrolment in enrolments:
        measured(enrolment)

    def ask(count: int) -> int:
        found = current_entries(enrolments[:count])
        return queries_of(lambda: [measures_by_name(entry) for entry in found])

    assert ask(2) == ask(4) == 2


def test_recorded_attendees_are_counted_once_and_only_what_stands(session: Session) -> None:
    first, second = attendee_of(session), attendee_of(session, 1)
    old = EntryFactory.create(enrolment=first, session=session)
    EntryFactory.create(enrolment=first, session=session, supersedes=old)
    EntryFactory.create(enrolment=first, session=session, kind="ball_flight")
    EntryFactory.create(enrolment=second, session=session)
    assert recorded_counts([session]) == {session.pk: 2}


def test_n_sessions_cost_what_2n_cost(instructor: Account) -> None:
    first = session_at(instructor, "putting")
    assert queries_of(lambda: recorded_counts([first])) == 1
    assert queries_of(lambda: recorded_counts(Session.objects.all())) == 1


def test_the_next_of_the_squad_follows_in_turn(session: Session) -> None:
    squad = [attendee_of(session, number) for number in range(3)]
    following = [session_progress(session, one).next for one in squad]
    assert following == [squad[1], squad[2], squad[0]]


def test_after_a_guest_nobody_is_next(session: Session) -> None:
    progress = session_progress(session, EnrolmentFactory.create())
    assert (progress.next, progress.of) == (None, 3)


@pytest.mark.parametrize("size", [1, 4])
def test_a_squad_costs_two_queries_whatever_its_size(instructor: Account, size: int) -> None:
    session = session_at(instructor, "putting", squad=size)
    enrolment = attendee_of(session)
    assert queries_of(lambda: session_progress(session, enrolment)) == 2


def test_a_still_is_of_the_published_session_of_its_phase(session: Session) -> None:
    attendee = attendee_of(session)
    assert session_of(attendee, "putting", "intake") == session
    assert session_of(attendee, "putting", "exit") is None
    Plan.objects.update(is_published=False)
    assert session_of(attendee, "putting", "intake") is None


def test_the_counterpart_is_of_the_other_phase_and_the_same_club() -> None:
    attendee = EnrolmentFactory.create()
    flight = {"enrolment": attendee, "kind": "ball_flight"}
    intake = EntryFactory.create(payload={"club_class": "iron"}, **flight)
    EntryFactory.create(payload={"club_class": "driver"}, **flight)
    exit_ = EntryFactory.create(payload={"club_class": "iron"}, phase="exit", **flight)
    assert (counterpart(exit_), counterpart(intake)) == (intake, exit_)


def test_practice_has_no_counterpart() -> None:
    assert counterpart(EntryFactory.create(phase="practice")) is None


@pytest.mark.parametrize("count", [2, 4])
def test_entries_that_stand_cost_two_queries(count: int) -> None:
    attendee = EnrolmentFactory.create()
    for _ in range(count):
        measured(attendee)
    assert queries_of(lambda: standing_entries(attendee, "putting", "intake")) == 2


@pytest.mark.parametrize("count", [2, 4])
def test_stills_with_their_measures_cost_three(count: int) -> None:
    attendee = EnrolmentFactory.create()
    for _ in range(count):
        still = StillFactory.create(enrolment=attendee)
        EntryFactory.create(enrolment=attendee, kind="impact", still=still, payload=marking())
    assert queries_of(lambda: stills_of(attendee, "intake")) == 3
