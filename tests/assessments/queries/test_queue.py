"""What waits for its marks, who may be filmed, and that more of it costs no more queries."""

from datetime import datetime, timedelta
from uuid import UUID, uuid4

import pytest
from django.utils import timezone

from assessments.models import FilmingPlace, Still
from assessments.queries.queue import Queue, last_place_of, queue_of, seated_of
from school.models import Account, Consent, Enrolment, School
from tests.assessments.factories import EntryFactory, StillFactory
from tests.factories import EnrolmentFactory, SchoolFactory, consented
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
NOON = datetime.fromisoformat("2027-05-07T12:00Z")


@pytest.fixture
def school(db: None) -> School:
    return SchoolFactory.create()


@pytest.fixture
def attendee(school: School) -> Enrolment:
    return consented(EnrolmentFactory.create(school=school))


def stills(attendee: Enrolment, count: int, **fields: object) -> list[UUID]:
    """So many stills, a minute apart, oldest first."""
    return [
        StillFactory.create(
            enrolment=attendee, uploaded_at=NOON + timedelta(minutes=minute), **fields
        ).pk
        for minute in range(count)
    ]


def marked(*keys: UUID) -> None:
    for still in Still.objects.filter(pk__in=keys):
        EntryFactory.create(enrolment=still.enrolment, kind="impact", still=still)


def test_the_oldest_comes_first_and_what_is_marked_is_not_asked_for(
    school: School, attendee: Enrolment
) -> None:
    first, second, third = stills(attendee, 3)
    marked(first)
    assert queue_of(school) == Queue(next=second, left=2, marked=1, withheld=0)
    marked(second, third)
    assert queue_of(school) == Queue(next=None, left=0, marked=3, withheld=0)


def test_what_was_passed_over_still_waits(school: School, attendee: Enrolment) -> None:
    first, second = stills(attendee, 2)
    assert queue_of(school, after=first).next == second
    assert queue_of(school, after=second) == Queue(next=None, left=2, marked=0, withheld=0)
    assert queue_of(school, after=uuid4()).next == first


def test_the_queue_goes_on_behind_what_was_marked_meanwhile(
    school: School, attendee: Enrolment
) -> None:
    _, second, third = stills(attendee, 3)
    marked(second)
    assert queue_of(school, after=second).next == third


def test_a_place_and_a_phase_narrow_it(school: School, attendee: Enrolment) -> None:
    place = FilmingPlace.objects.create(name="Bay 1")
    stills(attendee, 1)
    (there,) = stills(attendee, 1, filming_place=place, phase="exit")
    for narrowed in (queue_of(school, place=place.pk), queue_of(school, phase="exit")):
        assert narrowed == Queue(next=there, left=1, marked=0, withheld=0)
    assert queue_of(school, place=place.pk, phase="intake").left == 0


def test_what_nobody_may_mark_is_withheld(school: School, attendee: Enrolment) -> None:
    stills(attendee, 2)
    Consent.objects.update(withdrawn_at=timezone.now())
    assert queue_of(school) == Queue(next=None, left=0, marked=0, withheld=2)


def test_who_left_and_other_schools_do_not_count(school: School, attendee: Enrolment) -> None:
    stills(attendee, 1)
    stills(consented(EnrolmentFactory.create()), 1)
    attendee.state, attendee.seat = Enrolment.State.CANCELLED, None
    attendee.cancelled_at = timezone.now()
    attendee.save(update_fields=["state", "seat", "cancelled_at"])
    assert queue_of(school) == Queue(next=None, left=0, marked=0, withheld=0)


def test_a_correction_counts_once(school: School, attendee: Enrolment) -> None:
    (pk,) = stills(attendee, 1)
    marked(pk)
    first = Still.objects.get().entries.get()
    EntryFactory.create(enrolment=attendee, kind="impact", still_id=pk, supersedes=first)
    assert queue_of(school).marked == 1


def test_n_stills_cost_what_2n_cost(school: School, attendee: Enrolment) -> None:
    stills(attendee, 3)
    assert queries_of(lambda: queue_of(school)) == 1
    stills(consented(EnrolmentFactory.create(school=school)), 6)
    assert queries_of(lambda: queue_of(school, phase="intake")) == 1


def test_those_seated_are_told_apart_by_their_consent(school: School, attendee: Enrolment) -> None:
    other = EnrolmentFactory.create(school=school)
    consented(other, "terms")
    withdrawn = consented(EnrolmentFactory.create(school=school), withdrawn_at=timezone.now())
    names = sorted(str(each.golfer) for each in (other, withdrawn))
    seated = seated_of(school)
    assert (seated.filmed, seated.not_filmed) == ([attendee], names)


def test_n_seated_cost_what_2n_cost(school: School, attendee: Enrolment) -> None:
    def names() -> list[str]:
        return [str(each.golfer) for each in seated_of(school).filmed]

    assert queries_of(names) == 1
    consented(EnrolmentFactory.create(school=school))
    assert queries_of(names) == 1


def test_the_last_place_stays_chosen_while_it_is_in_use(
    instructor: Account, attendee: Enrolment
) -> None:
    assert last_place_of(instructor) is None
    places = [FilmingPlace.objects.create(name=name) for name in ("Bay 1", "Bay 2")]
    for minute, place in enumerate(places):
        at = NOON + timedelta(minutes=minute)
        StillFactory.create(uploaded_by=instructor, filming_place=place, uploaded_at=at)
    StillFactory.create(enrolment=attendee, filming_place=places[0])
    assert last_place_of(instructor) == places[1]
    FilmingPlace.objects.update(is_in_use=False)
    assert last_place_of(instructor) is None
