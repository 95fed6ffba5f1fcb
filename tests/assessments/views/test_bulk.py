"""Many stills at once, and the queue in which they are marked."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import Entry, FilmingPlace, Still
from lessons.models import Session
from school.models import Account, Consent, School
from tests.assessments.factories import (
    EntryFactory,
    StillFactory,
    attendee_of,
    rendering,
    session_at,
    upload_of,
)
from tests.assessments.factories import picture as plain
from tests.factories import EnrolmentFactory, consented
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(instructor: Account) -> Session:
    made = session_at(instructor, "impact", squad=2)
    consented(attendee_of(made))
    return made


@pytest.fixture
def school(session: Session) -> School:
    return session.plan.school


@pytest.fixture
def client(instructor: Account, client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(instructor)


@pytest.fixture
def send(client: Client, session: Session, school: School) -> Callable[..., Any]:
    def act(**changes: Any) -> Any:
        form = {
            "still_id": str(uuid4()),
            "enrolment": attendee_of(session).pk,
            "phase": "exit",
            "club_class": "driver",
            "shot_kind": "specialty",
            "picture": rendering(),
        }
        return client.post(reverse("stills_bulk_add", args=[school.pk]), form | changes)

    return act


def queue(school: School, **query: Any) -> str:
    return reverse("marking_queue", args=[school.pk], query=query or None)


def test_only_who_may_be_filmed_can_be_chosen_and_the_others_are_said(
    client: Client, school: School, session: Session
) -> None:
    answer = client.get(reverse("stills_bulk", args=[school.pk]))
    filmed, other = (attendee_of(session, number) for number in range(2))
    assert list(answer.context["form"].fields["enrolment"].queryset) == [filmed]
    assert f"Not to be filmed.</strong> {other.golfer}" in answer.content.decode()


def test_with_nobody_to_film_the_page_says_so(client: Client, school: School) -> None:
    Consent.objects.all().delete()
    page = client.get(reverse("stills_bulk", args=[school.pk])).content.decode()
    assert "Nobody to send stills of" in page
    assert 'type="file"' not in page


def test_n_golfers_cost_what_2n_cost(client: Client, school: School) -> None:
    def look() -> None:
        client.get(reverse("stills_bulk", args=[school.pk]))

    before = queries_of(look)
    for _ in range(4):
        consented(EnrolmentFactory.create(school=school))
    assert queries_of(look) == before


def test_one_of_many_is_kept_as_it_was_said(send: Callable[..., Any], session: Session) -> None:
    place = FilmingPlace.objects.create(name="Bay 1")
    answer = send(filming_place=place.pk)
    still = Still.objects.get()
    assert (answer.status_code, answer.json()["still"]) == (201, str(still.pk))
    assert (still.enrolment, still.filming_place) == (attendee_of(session), place)
    assert (still.phase, still.club_class, still.shot_kind) == ("exit", "driver", "specialty")


def test_sending_one_again_changes_nothing(send: Callable[..., Any]) -> None:
    pk = str(uuid4())
    assert [send(still_id=pk).status_code for _ in range(2)] == [201, 201]
    assert Still.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"enrolment": ""}, "Golfer: Choose the golfer."),
        ({"enrolment": 9999}, "Golfer: This golfer has no seat in the school any more."),
        ({"phase": ""}, "Phase: This field is required."),
        ({"picture": ""}, "The still: The picture did not arrive. Send it again."),
    ],
)
def test_what_is_missing_is_said_in_words(
    send: Callable[..., Any], changes: dict[str, Any], words: str
) -> None:
    answer = send(**changes)
    assert (answer.status_code, answer.json()["errors"]) == (422, [words])


def test_a_golfer_of_another_school_is_none_of_this_one(send: Callable[..., Any]) -> None:
    assert send(enrolment=consented(EnrolmentFactory.create()).pk).status_code == 422


def test_who_may_not_be_filmed_is_refused_in_words(
    send: Callable[..., Any], session: Session
) -> None:
    answer = send(enrolment=attendee_of(session, 1).pk)
    assert answer.status_code == 422
    assert "has not agreed to filming" in answer.json()["errors"][0]


def test_a_picture_too_small_is_refused_in_words(send: Callable[..., Any]) -> None:
    answer = send(picture=upload_of(plain((100, 100))))
    assert answer.status_code == 422
    assert "too small to mark" in answer.json()["errors"][0]


def test_the_queue_leads_to_the_next_still_and_stays_narrowed(
    client: Client, school: School, session: Session
) -> None:
    place = FilmingPlace.objects.create(name="Bay 1")
    StillFactory.create(enrolment=attendee_of(session), uploaded_at="2027-05-07T12:00Z")
    there = StillFactory.create(enrolment=attendee_of(session), filming_place=place)
    answer = client.get(queue(school, place=place.pk, phase="intake", after=uuid4()))
    assert answer.headers["Location"] == reverse(
        "still_mark",
        args=[there.pk],
        query={"place": place.pk, "phase": "intake", "queue": 1},
    )


def test_marks_saved_from_the_queue_lead_on_in_it(
    client: Client, school: School, session: Session
) -> None:
    first, second = (
        StillFactory.create(enrolment=attendee_of(session), uploaded_at=f"2027-05-07T12:0{n}Z")
        for n in range(2)
    )
    EntryFactory.create(enrolment=first.enrolment, kind="impact", still=first)
    answer = client.get(queue(school, after=first.pk))
    assert str(second.pk) in answer.headers["Location"]


def test_a_still_can_be_passed_over_in_the_narrowed_queue(
    client: Client, school: School, session: Session
) -> None:
    still = StillFactory.create(enrolment=attendee_of(session))
    page = client.get(queue(school, phase="intake"), follow=True)
    assert page.context["pass_over"] == queue(school, after=still.pk, phase="intake")
    alone = client.get(reverse("still_mark", args=[still.pk]))
    assert "Pass this one over" not in alone.content.decode()


def test_when_all_are_marked_the_page_offers_the_wall(
    client: Client, school: School, session: Session
) -> None:
    still = StillFactory.create(enrolment=attendee_of(session))
    EntryFactory.create(enrolment=still.enrolment, kind="impact", still=still)
    answer = client.get(queue(school))
    assert Entry.objects.count() == answer.context["queue"].marked == 1
    assert reverse("wall", args=[school.pk]) in answer.content.decode()


def test_what_was_passed_over_is_offered_again(
    client: Client, school: School, session: Session
) -> None:
    still = StillFactory.create(enrolment=attendee_of(session))
    answer = client.get(queue(school, after=still.pk, phase="intake"))
    assert f'href="{queue(school, phase="intake")}"' in answer.content.decode()


def test_before_the_first_still_the_queue_says_where_they_come_from(
    client: Client, school: School
) -> None:
    page = client.get(queue(school, after="x", place="-1", phase="lunch")).content.decode()
    assert "Nothing to mark yet" in page
    assert reverse("stills_bulk", args=[school.pk]) in page
