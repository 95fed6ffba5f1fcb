"""The page that chooses frames of a clip, and what `still_add` answers its script."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import FilmingPlace, Still
from lessons.models import Session
from school.middleware import CONTENT_POLICY
from school.models import Account
from tests.assessments.factories import FLIP, attendee_of, rendering, session_at
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


def address(session: Session, name: str) -> str:
    return reverse(name, args=[session.pk, attendee_of(session).pk, "impact"])


def send(client: Client, session: Session, **fields: Any) -> Any:
    form = {"still_id": str(uuid4()), "club_class": "iron", "shot_kind": "full"}
    return client.post(
        address(session, "still_add"),
        {**form, "picture": rendering(), **fields},
        headers={"Accept": "application/json"},
    )


def test_the_script_is_told_where_frames_go_and_how_fast_each_place_films(
    client: Client, session: Session
) -> None:
    place = FilmingPlace.objects.create(name="Bay 1", frames_a_second=240)
    FilmingPlace.objects.create(name="Bay 2")
    FilmingPlace.objects.create(name="Bay 3", frames_a_second=120, is_in_use=False)
    told = client.get(address(session, "capture")).context["told"]
    assert told["sendUrl"] == address(session, "still_add")
    assert told["framesASecond"] == {str(place.pk): 240}


def test_the_page_says_whose_it_is_and_how_they_play(client: Client, session: Session) -> None:
    page = client.get(address(session, "capture")).content.decode()
    assert str(attendee_of(session).golfer) in page
    assert "Right-handed" in page


def test_who_may_not_be_filmed_gets_no_form(client: Client, session: Session) -> None:
    attendee_of(session).consents.all().delete()
    page = client.get(address(session, "capture")).content.decode()
    assert "has not agreed to filming" in page
    assert 'type="file"' not in page


def test_frames_are_chosen_only_where_they_are_measured(
    client: Client, instructor: Account
) -> None:
    other = session_at(instructor, "putting")
    wrong = reverse("capture", args=[other.pk, attendee_of(other).pk, "putting"])
    assert client.get(wrong).status_code == 404


def test_a_clip_is_played_from_the_device_and_from_nowhere_else() -> None:
    assert "media-src 'self' blob:;" in CONTENT_POLICY


def test_two_frames_are_kept_and_the_script_is_told_where_to_mark_them(
    client: Client, session: Session
) -> None:
    place = FilmingPlace.objects.create(name="Bay 1")
    answer = send(client, session, picture_before=rendering(FLIP), filming_place=place.pk)
    still = Still.objects.get()
    assert answer.status_code == 201
    assert answer.json() == {
        "still": str(still.pk),
        "url": reverse("still_mark", args=[still.pk]),
    }
    assert still.picture_before.name


def test_the_next_still_was_filmed_where_the_last_one_was(client: Client, session: Session) -> None:
    place = FilmingPlace.objects.create(name="Bay 1")
    send(client, session, filming_place=place.pk)
    for name in ("capture", "entry_new"):
        form = client.get(address(session, name)).context["form"]
        assert form["filming_place"].value() == place.pk


def test_sending_it_again_is_answered_alike(client: Client, session: Session) -> None:
    pk = str(uuid4())
    answers = [send(client, session, still_id=pk) for _ in range(2)]
    assert answers[0].content == answers[1].content
    assert Still.objects.count() == 1


def test_what_is_there_already_asks_for_another_number_or_picture(
    client: Client, session: Session
) -> None:
    send(client, session)
    answer = send(client, session)
    assert answer.status_code == 409
    assert answer.json()["errors"] == ["This picture is there already. Choose another swing."]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"club_class": "spoon"}, "Club: Select a valid choice"),
        ({"picture": ""}, "The still: Choose the still"),
        ({"filming_place": 9999}, "Filmed at: This filming place is not in use any more."),
        ({"still_id": "seven"}, "Still id: Enter a valid UUID."),
    ],
)
def test_what_is_wrong_is_said_in_words(
    client: Client, session: Session, fields: dict[str, Any], words: str
) -> None:
    answer = send(client, session, **fields)
    assert answer.status_code == 422
    assert answer.json()["errors"][0].startswith(words)


def test_consent_taken_back_meanwhile_is_said_too(client: Client, session: Session) -> None:
    attendee_of(session).consents.all().delete()
    answer = send(client, session)
    assert answer.status_code == 422
    assert "has not agreed to filming" in answer.json()["errors"][0]
