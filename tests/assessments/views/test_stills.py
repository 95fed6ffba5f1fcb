"""Sending a still and marking it, as an instructor does."""

import json
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from assessments.models import Entry, Still
from lessons.models import Session
from school.models import Account, Consent
from tests.assessments.factories import attendee_of, marking, marks_of, rendering, session_at
from tests.factories import consented

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(instructor: Account) -> Session:
    made = session_at(instructor, "impact")
    consented(attendee_of(made))
    return made


@pytest.fixture
def client(instructor: Account, client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(instructor)


@pytest.fixture
def still(client: Client, session: Session) -> Still:
    send(client, session)
    return Still.objects.get()


def address(session: Session, name: str = "entry_new") -> str:
    return reverse(name, args=[session.pk, attendee_of(session).pk, "impact"])


def send(client: Client, session: Session, **fields: Any) -> Any:
    form = {"still_id": str(uuid4()), "club_class": "iron", "shot_kind": "full"}
    return client.post(address(session, "still_add"), {**form, "picture": rendering(), **fields})


def save(client: Client, still: Still, marks: Any, **more: Any) -> Any:
    form = {"landmarks": json.dumps(marks), "entry_id": str(uuid4()), "supersedes": ""} | more
    return client.post(reverse("still_record", args=[still.pk]), form)


def text_of(answer: Any) -> str:
    return answer.content.decode()


def test_before_the_first_still_the_page_says_what_goes_here(
    client: Client, session: Session
) -> None:
    page = text_of(client.get(address(session)))
    assert "No still yet" in page
    assert 'capture="environment"' in page


def test_without_consent_the_page_says_who_must_give_it(client: Client, session: Session) -> None:
    attendee_of(session).consents.all().delete()
    page = text_of(client.get(address(session)))
    assert "has not agreed to filming" in page
    assert 'type="file"' not in page


def test_a_still_that_was_sent_is_marked_next(client: Client, session: Session) -> None:
    answer = send(client, session)
    assert answer.headers["Location"] == reverse("still_mark", args=[Still.objects.get().pk])


def test_one_taken_with_the_device_will_do(client: Client, session: Session) -> None:
    send(client, session, picture="", taken=rendering())
    assert Still.objects.count() == 1


def test_a_still_is_needed(client: Client, session: Session) -> None:
    assert "Choose the still" in text_of(send(client, session, picture=""))


def test_what_is_wrong_with_the_file_is_said_at_the_field(client: Client, session: Session) -> None:
    upload = rendering()
    upload.file.truncate(2000)  # type: ignore[union-attr]
    answer = send(client, session, picture=upload, club_class="driver")
    assert "Send it again" in answer.context["form"].errors["picture"][0]
    assert answer.context["form"]["club_class"].value() == "driver"


def test_a_picture_that_is_there_already_is_said_above(
    client: Client, session: Session, still: Still
) -> None:
    assert "there already" in text_of(send(client, session))


def test_stills_are_sent_only_where_they_are_measured(client: Client, instructor: Account) -> None:
    other = session_at(instructor, "putting")
    wrong = reverse("still_add", args=[other.pk, attendee_of(other).pk, "putting"])
    assert client.post(wrong).status_code == 404


def test_the_marking_page_is_told_all_that_it_needs(client: Client, still: Still) -> None:
    told = client.get(reverse("still_mark", args=[still.pk])).context["marking"]
    assert told["still"]["url"] == reverse("still_picture", args=[still.pk])
    assert (told["handedness"], told["club"], told["clickSdPx"]) == ("right", "iron", 1.5)
    assert told["current"] is told["posted"] is told["supersedes"] is None
    needed = {landmark["key"] for landmark in told["landmarks"] if landmark["required"]}
    assert needed == {
        "ball_edge_a",
        "ball_edge_b",
        "grip_end",
        "shaft_low",
        "lead_wrist",
        "lead_elbow",
    }


def test_the_marking_page_leads_back_and_says_when_filming_is_withdrawn(
    client: Client, session: Session, still: Still
) -> None:
    page = text_of(client.get(reverse("still_mark", args=[still.pk])))
    assert f'href="{address(session)}"' in page
    assert "Not to be filmed" not in page
    Consent.objects.update(withdrawn_at=timezone.now())
    assert "Not to be filmed" in text_of(client.get(reverse("still_mark", args=[still.pk])))


@pytest.mark.parametrize(
    ("fields", "is_asked_for"),
    [({"club_class": "driver"}, True), ({"club_class": "wedge"}, False)],
)
def test_the_foot_of_the_tee_is_asked_for_with_a_driver(
    client: Client, still: Still, fields: dict[str, str], is_asked_for: bool
) -> None:
    Still.objects.update(**fields)
    told = client.get(reverse("still_mark", args=[still.pk])).context["marking"]
    keys = [landmark["key"] for landmark in told["landmarks"]]
    assert ("ground_contact" in keys) is is_asked_for


def test_marks_become_an_entry_of_the_session(
    client: Client, still: Still, session: Session
) -> None:
    answer = save(client, still, marks_of())
    entry = Entry.objects.get()
    assert answer.headers["Location"] == reverse("entry_detail", args=[entry.pk])
    assert (entry.still, entry.session, entry.payload) == (still, session, marking())


def test_refused_marks_come_back_with_every_reason(client: Client, still: Still) -> None:
    marks = marks_of()
    marks["lead_elbow"], marks["lead_wrist"] = marks["lead_wrist"], marks["lead_elbow"]
    del marks["grip_end"]
    answer = save(client, still, marks)
    assert answer.status_code == 422
    assert len(answer.context["errors"]) == 2
    assert answer.context["marking"]["posted"] == answer.context["marking"]["current"] == marks
    assert Entry.objects.count() == 0


def test_a_refused_correction_keeps_both_what_stands_and_what_was_sent(
    client: Client, still: Still
) -> None:
    save(client, still, marks_of())
    entry = Entry.objects.get()
    moved = {"lead_wrist": [1.0, 2.0]}
    told = save(client, still, moved, supersedes=str(entry.pk)).context["marking"]
    assert (told["current"], told["posted"]) == (marks_of(), moved)
    assert told["supersedes"] == str(entry.pk)


def test_who_marks_second_learns_of_the_first(client: Client, still: Still) -> None:
    save(client, still, marks_of())
    answer = save(client, still, marks_of())
    assert answer.status_code == 409
    assert answer.context["marking"]["supersedes"] == str(Entry.objects.get().pk)


@pytest.mark.parametrize("landmarks", ["", "[", "7", "null", '["ball"]', "[" * 20_000])
def test_marks_that_did_not_arrive_are_asked_for_again(
    client: Client, still: Still, landmarks: str
) -> None:
    form = {"landmarks": landmarks, "entry_id": str(uuid4())}
    answer = client.post(reverse("still_record", args=[still.pk]), form)
    assert answer.status_code == 422
    assert "did not arrive" in answer.context["errors"][0]


def test_numbers_that_are_none_do_not_reach_the_page(client: Client, still: Still) -> None:
    answer = save(client, still, marks_of() | {"lead_wrist": [float("nan"), 4.0], "toe": [1, 2]})
    assert answer.status_code == 422
    assert answer.context["marking"]["posted"].keys().isdisjoint({"lead_wrist", "toe"})


@pytest.mark.parametrize("landmarks", ['{"lead_wrist": [1%s, 4]}' % ("0" * 400), '{"\\ud800": 1}'])
def test_what_no_page_sends_is_refused_in_words(
    client: Client, still: Still, landmarks: str
) -> None:
    """A number too large for a float; half a character."""
    form = {"landmarks": landmarks, "entry_id": str(uuid4())}
    answer = client.post(reverse("still_record", args=[still.pk]), form)
    assert answer.status_code == 422
    assert "no readable position" in answer.context["errors"][0]


def as_json(client: Client, still: Still, sent: object) -> Any:
    return client.post(
        reverse("still_record", args=[still.pk]), json.dumps(sent), content_type="application/json"
    )


def test_a_script_may_send_json_and_is_answered_in_json(client: Client, still: Still) -> None:
    answer = as_json(client, still, {"landmarks": marks_of(), "entry_id": str(uuid4())})
    assert answer.status_code == 201
    assert json.loads(answer.content)["entry"] == str(Entry.objects.get().pk)


@pytest.mark.parametrize("sent", [{}, [], {"landmarks": {}, "entry_id": str(uuid4())}])
def test_refused_json_says_why(client: Client, still: Still, sent: object) -> None:
    answer = as_json(client, still, sent)
    assert answer.status_code == 422
    assert json.loads(answer.content)["errors"][0].endswith(".")


def test_json_without_an_end_is_refused(client: Client, still: Still) -> None:
    at = reverse("still_record", args=[still.pk])
    answer = client.post(at, "[" * 20_000, content_type="application/json")
    assert answer.status_code == 422


def test_the_entry_shows_the_drawing_with_its_numbers_in_words(
    client: Client, still: Still
) -> None:
    save(client, still, marks_of())
    page = text_of(client.get(reverse("entry_detail", args=[Entry.objects.get().pk])))
    assert "Forearm-line offset +2.4 ± 1.0 ball diameters; Forearm lean" in page
    assert "The club trails" in page
    assert "error of marking" in page


def test_doubts_are_told_in_words(client: Client, still: Still) -> None:
    save(client, still, marks_of() | {"trail_shoulder": [900, 300]})
    page = text_of(client.get(reverse("entry_detail", args=[Entry.objects.get().pk])))
    assert "nearer the target than the lead shoulder" in page


def test_stills_stand_on_the_page_with_what_was_measured(client: Client, session: Session) -> None:
    send(client, session)
    send(client, session, picture=rendering("03_iron_right_flip"))
    save(client, Still.objects.earliest("uploaded_at"), marks_of())
    shown = client.get(address(session)).context["stills"]
    assert [one.standing is not None for one in shown] == [True, False]


def test_stills_that_are_not_for_the_class_say_so_to_whoever_holds_the_tablet(
    client: Client, session: Session, still: Still
) -> None:
    save(client, still, marks_of())
    pages = [address(session), reverse("entry_detail", args=[Entry.objects.get().pk])]
    assert all("Not for the class" in text_of(client.get(page)) for page in pages)
    consented(attendee_of(session), "shown_in_class")
    assert not any("Not for the class" in text_of(client.get(page)) for page in pages)
    Consent.objects.filter(text__kind="shown_in_class").update(withdrawn_at=timezone.now())
    assert all("Not for the class" in text_of(client.get(page)) for page in pages)
