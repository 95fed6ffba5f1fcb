"""A note: what it takes, what lies beside it, and where it may be taken."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from assessments.actions.entries import record_entry
from assessments.errors import EntryConflict, EntryRefused
from assessments.models import Entry, Still
from assessments.queries.queue import queue_of
from assessments.queries.stills import entry_of, stills_of
from assessments.stations.base import Context
from assessments.stations.video_note import MOST_WORDS, STATION, TAGS
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import EntryFactory, StillFactory, attendee_of, session_at
from tests.factories import ConsentTextFactory, consented
from tests.lessons.factories import SessionFactory, instructor_for

ClientOf = Callable[[Account | None], Client]
SEEN = {"text": "The trail heel lifts late.", "tag": "turn"}
needs_rows = pytest.mark.django_db


@pytest.mark.parametrize("words", [1, MOST_WORDS])
def test_a_note_measures_nothing(words: int) -> None:
    note = {"text": "late " * words, "tag": "tempo"}
    assert STATION.compute(note, Context()).measures == ()


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"text": "late " * (MOST_WORDS + 1)}, "has 1001 words; it takes 1000"),
        ({"text": "  \n"}, "nothing in the note"),
        ({"text": None}, "nothing in the note"),
        ({"tag": "slice"}, "what the note is about"),
        ({"tag": ""}, "what the note is about"),
    ],
)
def test_what_is_no_note_is_refused_in_words(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(EntryRefused, match=words):
        STATION.compute(SEEN | changed, Context())


def test_the_form_takes_any_length_and_leaves_the_words_alone() -> None:
    text = f"Łukasz holds the finish… {'and so on ' * 400}".strip()
    form = STATION.form_class({"entry_id": uuid4(), "text": text, "tag": "other"})
    assert form.is_valid()
    assert form.payload() == {"text": text, "tag": "other"}
    assert STATION.form_class.initial_from(form.payload()) == {"text": text, "tag": "other"}
    assert "maxlength" not in str(form["text"])


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "putting", squad=2)


@pytest.fixture
def attendee(session: Session) -> Enrolment:
    for kind in ("filming", "shown_in_class"):
        ConsentTextFactory.create(kind=kind)
    return consented(attendee_of(session))


@pytest.fixture
def still(attendee: Enrolment) -> Still:
    made: Still = StillFactory.create(enrolment=attendee, picture__data=b"still")
    return made


@pytest.fixture
def client(instructor: Account, client_of: ClientOf) -> Client:
    return client_of(instructor)


def noted(session: Session, attendee: Enrolment, **fields: Any) -> Entry:
    return record_entry(
        **{
            "id": uuid4(),
            "enrolment": attendee,
            "kind": "video_note",
            "phase": "intake",
            "payload": SEEN,
            "recorded_by": session.instructor.staff.account,
            "session": session,
            **fields,
        }
    )


def page_of(session: Session, attendee: Enrolment, kind: str = "video_note") -> str:
    return reverse("entry_new", args=[session.pk, attendee.pk, kind])


@needs_rows
def test_a_note_is_taken_in_any_session_with_a_still_beside_it(
    client: Client, session: Session, attendee: Enrolment, still: Still
) -> None:
    page = client.get(page_of(session, attendee)).content.decode()
    assert str(still.pk) in page
    form = {**SEEN, "entry_id": str(uuid4()), "still": str(still.pk)}
    answer = client.post(page_of(session, attendee), form, follow=True)
    entry = Entry.objects.get()
    assert (entry.still, entry.session, entry.payload) == (still, session, SEEN)
    shown = answer.content.decode()
    assert reverse("still_picture", args=[still.pk]) in shown
    assert "Correct the marks" not in shown
    assert f'data-kept-id="{entry.pk}"' in shown


@needs_rows
def test_other_kinds_stay_in_their_own_session(
    client: Client, session: Session, attendee: Enrolment
) -> None:
    assert client.get(page_of(session, attendee, "coach_paragraph")).status_code == 404


@needs_rows
def test_the_session_offers_a_note_on_everybody(
    client: Client, session: Session, attendee: Enrolment
) -> None:
    page = client.get(reverse("session", args=[session.pk])).content.decode()
    for number in range(2):
        assert page_of(session, attendee_of(session, number)) in page


@needs_rows
def test_a_note_does_not_count_as_the_station_recorded(
    client: Client, session: Session, attendee: Enrolment
) -> None:
    noted(session, attendee)
    page = client.get(reverse("session", args=[session.pk])).content.decode()
    assert "Recorded" not in page


@needs_rows
def test_a_note_is_no_mark_of_the_still_beside_it(
    session: Session, attendee: Enrolment, still: Still
) -> None:
    noted(session, attendee, still=still)
    assert entry_of(still) is None
    assert [one.standing for one in stills_of(attendee, still.phase)] == [None]
    assert queue_of(attendee.school).left == 1


@needs_rows
def test_the_still_is_of_the_attendee_and_of_any_day(session: Session, attendee: Enrolment) -> None:
    noted(session, attendee, still=StillFactory.create(enrolment=attendee, phase="exit"))
    with pytest.raises(EntryRefused, match="somebody else"):
        noted(session, attendee, still=StillFactory.create())


@needs_rows
def test_somebody_elses_still_cannot_be_chosen(
    client: Client, session: Session, attendee: Enrolment
) -> None:
    other = StillFactory.create()
    form = {**SEEN, "entry_id": str(uuid4()), "still": str(other.pk)}
    answer = client.post(page_of(session, attendee), form)
    assert Entry.objects.count() == 0
    assert SEEN["text"] in answer.content.decode()


@needs_rows
def test_without_consent_to_filming_no_still_is_offered(
    client: Client, session: Session, attendee: Enrolment, still: Still
) -> None:
    attendee.consents.all().delete()
    assert str(still.pk) not in client.get(page_of(session, attendee)).content.decode()


@needs_rows
def test_a_correction_may_change_the_still_beside_it(
    session: Session, attendee: Enrolment, still: Still
) -> None:
    first = noted(session, attendee)
    second = noted(session, attendee, still=still, supersedes=first)
    assert Entry.objects.get(superseded_by__isnull=True) == second


@needs_rows
def test_notes_of_two_coaches_stand_side_by_side(
    session: Session, attendee: Enrolment, still: Still, other_instructor: Account
) -> None:
    SessionFactory.create(plan=session.plan, instructor=instructor_for(other_instructor))
    for account in (session.instructor.staff.account, other_instructor):
        noted(session, attendee, still=still, recorded_by=account)
    assert Entry.objects.filter(superseded_by__isnull=True).count() == 2


@needs_rows
def test_two_corrections_of_one_note_never_overwrite_each_other(
    session: Session, attendee: Enrolment, still: Still, other_instructor: Account
) -> None:
    """Not even if the first of them put another still beside it."""
    SessionFactory.create(plan=session.plan, instructor=instructor_for(other_instructor))
    first = noted(session, attendee)
    theirs = noted(session, attendee, still=still, supersedes=first, recorded_by=other_instructor)
    with pytest.raises(EntryConflict, match="Oren Other has corrected this") as caught:
        noted(session, attendee, payload=SEEN | {"tag": "health"}, supersedes=first)
    assert caught.value.standing == theirs


@needs_rows
def test_who_comes_second_gets_the_note_back_with_the_still(
    client: Client, session: Session, attendee: Enrolment, still: Still
) -> None:
    first = noted(session, attendee)
    noted(session, attendee, payload=SEEN | {"tag": "health"}, supersedes=first)
    form = {
        **SEEN,
        "entry_id": str(uuid4()),
        "supersedes": str(first.pk),
        "still": str(still.pk),
    }
    answer = client.post(page_of(session, attendee), form)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert SEEN["text"] in page
    assert f'value="{still.pk}" checked' in " ".join(page.split())
    assert f'data-keep-was="{form["entry_id"]}"' in page


@needs_rows
def test_the_golfer_can_read_it(
    client_of: ClientOf, session: Session, attendee: Enrolment, golfer: Account
) -> None:
    golfer.golfer.enrolments.update(state="cancelled", seat=None)
    attendee.golfer = golfer.golfer
    attendee.save(update_fields=["golfer"])
    entry = EntryFactory.create(enrolment=attendee, kind="video_note", payload=SEEN)
    page = client_of(golfer).get(reverse("entry_detail", args=[entry.pk])).content.decode()
    assert SEEN["text"] in page
    assert TAGS["turn"] in page
