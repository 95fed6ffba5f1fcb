from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.core.files.storage import FileSystemStorage, default_storage

from assessments.actions.stills import add_still
from assessments.errors import NotTaughtHere, StillConflict, StillPictureRefused
from assessments.models import FilmingPlace, Still
from lessons.models import Session
from school.errors import ConsentMissing, NotEnrolled
from school.models import Account, AuditEntry, Enrolment
from tests.assessments.factories import (
    FLIP,
    attendee_of,
    picture,
    rendering,
    session_at,
    upload_of,
)
from tests.factories import consented

pytestmark = pytest.mark.django_db
Send = Callable[..., Still]


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "impact")


@pytest.fixture
def attendee(session: Session) -> Enrolment:
    return consented(attendee_of(session))


@pytest.fixture
def send(attendee: Enrolment, instructor: Account) -> Send:
    def act(id: UUID | None = None, name: str | None = None, **changes: Any) -> Still:  # noqa: A002
        wanted: dict[str, Any] = {
            "enrolment": attendee,
            "phase": "intake",
            "club_class": "iron",
            "shot_kind": "full",
            "uploaded_by": instructor,
            "upload": rendering(name) if name else rendering(),
        }
        return add_still(id=id or uuid4(), **(wanted | changes))

    return act


def files() -> list[Path]:
    return [path for path in Path(default_storage.path("")).rglob("*") if path.is_file()]


def test_a_still_is_kept_with_its_size_and_its_file(send: Send, attendee: Enrolment) -> None:
    still = Still.objects.get(pk=send().pk)
    assert (still.enrolment, still.width_px, still.height_px) == (attendee, 1280, 960)
    assert [path.name for path in files()] == [f"{still.pk}.jpg"]


def test_handedness_is_copied_from_the_golfer(send: Send, attendee: Enrolment) -> None:
    attendee.golfer.handedness = "left"
    attendee.golfer.save(update_fields=["handedness"])
    still = send()
    attendee.golfer.handedness = "right"
    attendee.golfer.save(update_fields=["handedness"])
    assert Still.objects.get(pk=still.pk).handedness == "left"


def test_the_trail_says_who_sent_it(send: Send, instructor: Account) -> None:
    send()
    assert AuditEntry.objects.get(verb="add_still").actor == instructor


def test_sending_it_twice_changes_nothing(send: Send) -> None:
    pk = uuid4()
    assert send(pk) == send(pk)
    assert (Still.objects.count(), len(files())) == (1, 1)
    assert AuditEntry.objects.filter(verb="add_still").count() == 1


def test_two_frames_are_kept_side_by_side(send: Send) -> None:
    still = Still.objects.get(pk=send(before=rendering(FLIP)).pk)
    names = [Path(str(file)).name for file in (still.picture, still.picture_before)]
    assert names == [f"{still.pk}.jpg", f"{still.pk}-before.jpg"]
    assert sorted(path.name for path in files()) == sorted(names)
    assert len({still.sha256, still.sha256_before, ""}) == 3


def test_sending_two_frames_twice_changes_nothing(send: Send) -> None:
    pk = uuid4()
    assert send(pk, before=rendering(FLIP)) == send(pk, before=rendering(FLIP))
    assert (Still.objects.count(), len(files())) == (1, 2)


@pytest.mark.parametrize(
    ("before", "words"),
    [
        (rendering, "is the same as the one at the strike"),
        (lambda: upload_of(picture((640, 480))), "is 640 by 480 pixels and the one at the strike"),
        (lambda: upload_of(picture(), "GIF"), "The frame before the strike: This file is no JPEG"),
    ],
)
def test_a_frame_before_that_cannot_be_is_refused_in_words(
    send: Send, before: Callable[[], Any], words: str
) -> None:
    with pytest.raises(StillPictureRefused, match=words):
        send(before=before())
    assert (Still.objects.count(), files()) == (0, [])


def test_it_is_kept_where_it_was_filmed(send: Send) -> None:
    place = FilmingPlace.objects.create(name="Bay 1")
    assert Still.objects.get(pk=send(filming_place=place).pk).filming_place == place


@pytest.mark.parametrize("change", [{"before": FLIP}, {"filming_place": "Bay 2"}])
def test_one_id_stands_for_one_pair_at_one_place(send: Send, change: dict[str, str]) -> None:
    pk = send(before=rendering("04_driver_right_strong")).pk
    more: dict[str, Any] = {"before": rendering(change.get("before", "04_driver_right_strong"))}
    if name := change.get("filming_place"):
        more["filming_place"] = FilmingPlace.objects.create(name=name)
    with pytest.raises(StillConflict, match="under this number"):
        send(pk, **more)
    assert (Still.objects.count(), len(files())) == (1, 2)


def test_the_same_frame_at_the_strike_is_taken_once_whatever_came_before(send: Send) -> None:
    send()
    with pytest.raises(StillConflict, match="there already"):
        send(before=rendering(FLIP))
    assert len(files()) == 1


@pytest.mark.parametrize("change", [{"name": FLIP}, {"club_class": "wedge"}, {"phase": "exit"}])
def test_one_id_stands_for_one_still(send: Send, change: dict[str, str]) -> None:
    pk = send().pk
    with pytest.raises(StillConflict, match="under this number"):
        send(pk, **change)
    assert (Still.objects.count(), len(files())) == (1, 1)


def test_the_same_picture_is_taken_once_a_phase(send: Send) -> None:
    send()
    with pytest.raises(StillConflict, match="there already"):
        send()
    send(phase="exit")
    assert len(files()) == 2


def test_without_consent_nobody_is_filmed(send: Send, attendee: Enrolment) -> None:
    attendee.consents.all().delete()
    with pytest.raises(ConsentMissing, match=f"{attendee.golfer} has not agreed"):
        send()
    assert files() == []


def test_consent_taken_back_counts_no_more(send: Send, attendee: Enrolment) -> None:
    attendee.consents.update(withdrawn_at="2027-05-07T12:00Z")
    with pytest.raises(ConsentMissing):
        send()


def test_for_a_minor_the_words_name_the_guardian(send: Send, attendee: Enrolment) -> None:
    attendee.consents.all().delete()
    golfer = attendee.golfer
    golfer.birth_date, golfer.guardian_name = "2015-01-01", "Wanda Ward"
    golfer.save(update_fields=["birth_date", "guardian_name"])
    with pytest.raises(ConsentMissing, match="Wanda Ward, as the guardian of"):
        send()


def test_another_schools_instructor_may_not(send: Send, other_instructor: Account) -> None:
    with pytest.raises(NotTaughtHere):
        send(uploaded_by=other_instructor)
    assert files() == []


def test_who_gave_up_the_seat_is_not_filmed(send: Send, attendee: Enrolment) -> None:
    attendee.state, attendee.seat = Enrolment.State.CANCELLED, None
    attendee.cancelled_at = attendee.enrolled_at
    attendee.save(update_fields=["state", "seat", "cancelled_at"])
    with pytest.raises(NotEnrolled):
        send()


def test_a_file_that_is_no_picture_leaves_nothing(send: Send) -> None:
    upload = rendering()
    upload.size = 21_000_000
    with pytest.raises(StillPictureRefused):
        send(upload=upload)
    assert (Still.objects.count(), files()) == (0, [])


def test_a_failed_transaction_takes_the_file_with_it(
    send: Send, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**kwargs: Any) -> None:
        raise RuntimeError("the power went")

    monkeypatch.setattr("assessments.actions.stills.note", fail)
    with pytest.raises(RuntimeError):
        send()
    assert (Still.objects.count(), files()) == (0, [])


def test_a_failed_transaction_takes_both_files_with_it(
    send: Send, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**kwargs: Any) -> None:
        raise RuntimeError("the power went")

    monkeypatch.setattr("assessments.actions.stills.note", fail)
    with pytest.raises(RuntimeError):
        send(before=rendering(FLIP))
    assert files() == []


def test_a_full_disk_at_the_second_file_takes_the_first_with_it(
    send: Send, monkeypatch: pytest.MonkeyPatch
) -> None:
    save = FileSystemStorage.save

    def fill(disk: FileSystemStorage, name: str, content: Any, **more: Any) -> str:
        if "before" in name:
            raise OSError("no space left")
        return save(disk, name, content, **more)

    monkeypatch.setattr(FileSystemStorage, "save", fill)
    with pytest.raises(OSError, match="no space"):
        send(before=rendering(FLIP))
    assert (Still.objects.count(), files()) == (0, [])
