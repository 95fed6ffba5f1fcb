"""Recording at a station and looking at it, as an instructor does."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from assessments.actions.entries import record_entry
from assessments.models import Entry
from lessons.models import Session
from school.models import Account, School
from tests.assessments.factories import attendee_of, putts, session_at
from tests.factories import EnrolmentFactory
from tests.lessons.factories import SessionFactory, instructor_for

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
FLIGHT = {"club": "7i", "distance_unit": "yd", "speed_unit": "mph"}


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "putting", squad=2)


@pytest.fixture
def client(instructor: Account, client_of: ClientOf) -> Client:
    return client_of(instructor)


def address(session: Session, kind: str = "putting", number: int = 0) -> str:
    return reverse("entry_new", args=[session.pk, attendee_of(session, number).pk, kind])


def typed(*holed: int, **more: Any) -> dict[str, Any]:
    fields = {"entry_id": str(uuid4())}
    for metres in (1, 2, 3):
        fields[f"balls_{metres}"] = "10"
    for metres, count in enumerate(holed, 1):
        fields[f"holed_{metres}"] = str(count)
    return fields | more


def recorded(session: Session, *holed: int, **more: Any) -> Entry:
    return record_entry(
        **{
            "id": uuid4(),
            "enrolment": attendee_of(session),
            "kind": "putting",
            "phase": session.visit.phase,
            "payload": putts(*holed),
            "recorded_by": session.instructor.staff.account,
            "session": session,
            **more,
        }
    )


def text_of(answer: Any) -> str:
    return answer.content.decode()


def test_the_page_says_whom_one_has_before_one(client: Client, session: Session) -> None:
    golfer = attendee_of(session).golfer
    golfer.care_notes, golfer.handedness = "Sore trail knee", "left"
    golfer.save(update_fields=["care_notes", "handedness"])
    page = text_of(client.get(address(session)))
    assert all(words in page for words in (golfer.full_name, "Sore trail knee", "Left-handed"))
    assert 'class="station"' in page


def test_each_page_brings_an_id_of_its_own(client: Client, session: Session) -> None:
    ids = {client.get(address(session)).context["form"]["entry_id"].value() for _ in range(2)}
    assert len(ids) == 2


def test_saving_records_and_leads_to_the_entry(client: Client, session: Session) -> None:
    answer = client.post(address(session), typed(9, 5, 3), follow=True)
    entry = Entry.objects.get()
    assert answer.redirect_chain == [(reverse("entry_detail", args=[entry.pk]), 302)]
    assert (entry.session, entry.phase) == (session, "intake")
    assert "is recorded" in text_of(answer)


def test_sending_the_form_twice_records_one_entry(client: Client, session: Session) -> None:
    form = typed(9, 5, 3)
    answers = [client.post(address(session), form) for _ in range(2)]
    assert answers[0].headers["Location"] == answers[1].headers["Location"]
    assert Entry.objects.count() == 1


def test_what_cannot_be_is_said_at_its_field_and_kept(client: Client, session: Session) -> None:
    answer = client.post(address(session), typed(9, 11, 3))
    assert "11 cannot have been holed" in answer.context["form"].errors["holed_2"][0]
    assert answer.context["form"]["holed_1"].value() == "9"
    assert Entry.objects.count() == 0


def test_words_that_belong_to_no_field_stand_above_the_form(
    client: Client, session: Session
) -> None:
    assert "at least one distance" in text_of(client.post(address(session), typed()))


def test_what_stands_is_shown_and_the_form_corrects_it(client: Client, session: Session) -> None:
    entry = recorded(session, 9, 5, 3)
    form = client.get(address(session)).context["form"]
    assert (form["holed_2"].value(), form["supersedes"].value()) == (5, str(entry.pk))
    client.post(address(session), typed(9, 6, 3, supersedes=str(entry.pk)))
    assert Entry.objects.get(superseded_by__isnull=True).supersedes == entry


def test_who_comes_second_gets_the_form_back_filled(
    client: Client, session: Session, other_instructor: Account
) -> None:
    SessionFactory.create(plan=session.plan, instructor=instructor_for(other_instructor))
    entry = recorded(session, 9, 5, 3)
    theirs = recorded(session, 9, 6, 3, supersedes=entry, recorded_by=other_instructor)
    answer = client.post(address(session), typed(9, 7, 3, supersedes=str(entry.pk)))
    assert answer.status_code == 409
    assert "Oren Other has corrected this meanwhile" in text_of(answer)
    form = answer.context["form"]
    assert (form["holed_2"].value(), form["supersedes"].value()) == ("7", str(theirs.pk))
    client.post(address(session), form.data)
    assert Entry.objects.get(superseded_by__isnull=True).supersedes == theirs


def test_the_same_id_with_other_content_is_a_conflict(client: Client, session: Session) -> None:
    entry = recorded(session, 9, 5, 3)
    answer = client.post(address(session), typed(1, 1, 1, entry_id=str(entry.pk)))
    assert answer.status_code == 409
    assert answer.context["form"]["entry_id"].value() != str(entry.pk)


def test_a_kind_that_is_not_recorded_in_this_session(client: Client, session: Session) -> None:
    assert client.get(address(session, "ball_flight")).status_code == 404
    assert client.get(address(session, "archery")).status_code == 404


def test_an_attendee_of_another_school(client: Client, session: Session) -> None:
    elsewhere = attendee_of(SessionFactory.create())
    wrong = reverse("entry_new", args=[session.pk, elsewhere.pk, "putting"])
    assert client.get(wrong).status_code == 404


def test_anybody_of_the_school_may_stand_in(client: Client, session: Session) -> None:
    guest = EnrolmentFactory.create(school=session.plan.school)
    client.post(reverse("entry_new", args=[session.pk, guest.pk, "putting"]), typed(9, 5, 3))
    assert Entry.objects.get().enrolment == guest


@pytest.fixture
def flight(instructor: Account) -> str:
    return address(session_at(instructor, "ball_flight"), "ball_flight")


def test_clubs_stand_beside_each_other(client: Client, flight: str) -> None:
    for club in ("7i", "driver"):
        form = FLIGHT | {"club": club, "entry_id": str(uuid4()), "carry_1": "150"}
        client.post(flight, form)
    page = client.get(flight)
    assert [one.details["club"] for one in page.context["standing"]] == ["7-iron", "driver"]
    assert page.context["form"]["carry_1"].value() is None


def test_one_of_several_is_corrected_in_the_units_it_was_typed_in(
    client: Client, flight: str
) -> None:
    client.post(flight, FLIGHT | {"entry_id": str(uuid4()), "carry_1": "150.5"})
    entry = Entry.objects.get()
    form = client.get(flight, {"correct": str(entry.pk)}).context["form"]
    assert (form["carry_1"].value(), form["distance_unit"].value()) == (150.5, "yd")
    assert form["supersedes"].value() == str(entry.pk)


def test_wrong_shots_are_told_each_in_its_own_row(client: Client, flight: str) -> None:
    form = FLIGHT | {"entry_id": str(uuid4()), "carry_2": "9000", "side_7": "3", "carry_8": "-1"}
    errors = client.post(flight, form).context["form"].errors
    assert "0 to 437 yd" in errors["carry_2"][0]
    assert "carry is missing" in errors["carry_7"][0]
    assert "carry_8" in errors


def test_a_paragraph_is_kept_as_it_was_written(client: Client, instructor: Account) -> None:
    session = session_at(instructor, "coach_paragraph", "exit")
    text = "Keep the half swings with the feet together, twenty a day; stop when they get ragged."
    form = {"entry_id": str(uuid4()), "text": text}
    page = client.post(address(session, "coach_paragraph"), form, follow=True)
    assert text in text_of(page)
    assert Entry.objects.get().payload == {"text": text}


def test_the_entry_shows_each_number_with_its_worth_and_source(
    client: Client, session: Session
) -> None:
    entry = recorded(session, 10, 5, 3)
    page = text_of(client.get(reverse("entry_detail", args=[entry.pk])))
    assert all(words in page for words in ("± 27", "72 to 100", "5 of 10 holed"))


def test_an_exit_is_drawn_beside_the_intake_of_the_same_club(
    client: Client, session: Session
) -> None:
    recorded(session, 9, 5, 3)
    entry = recorded(session, 10, 7, 4, phase="exit")
    page = text_of(client.get(reverse("entry_detail", args=[entry.pk])))
    assert "make rate from 2 m (%), intake 50 ± 27, exit 70 (40 to 89)" in page


def test_without_an_intake_there_is_nothing_to_draw(client: Client, session: Session) -> None:
    entry = recorded(session, 9, 5, 3)
    assert client.get(reverse("entry_detail", args=[entry.pk])).context["chart"] is None


def test_the_entry_leads_on_to_the_next_of_the_squad(client: Client, session: Session) -> None:
    entry = recorded(session, 9, 5, 3)
    page = text_of(client.get(reverse("entry_detail", args=[entry.pk])))
    assert address(session, number=1) in page
    assert "1 of 2 recorded" in page


def test_a_corrected_entry_says_so_and_leads_to_the_newer(client: Client, session: Session) -> None:
    entry = recorded(session, 9, 5, 3)
    newer = recorded(session, 9, 6, 3, supersedes=entry)
    page = text_of(client.get(reverse("entry_detail", args=[entry.pk])))
    assert reverse("entry_detail", args=[newer.pk]) in page
    assert "Correct it" not in page


def test_after_closing_one_is_told_that_the_report_is_older(
    client: Client, session: Session
) -> None:
    School.objects.update(state="closed", closed_at="2027-05-10T09:00Z")
    page = text_of(client.post(address(session), typed(9, 5, 3), follow=True))
    assert "make the report again" in page


def test_the_session_says_who_is_recorded_already(client: Client, session: Session) -> None:
    recorded(session, 9, 5, 3)
    text = client.get(reverse("session", args=[session.pk])).content.decode()
    assert text.count("Recorded") == 1
    assert text.count("btn-primary") == 1
