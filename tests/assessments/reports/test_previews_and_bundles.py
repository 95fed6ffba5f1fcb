"""Pages to look at and files of many reports are made as reports are, whatever dies on the way."""

import errno
import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import BinaryIO

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from assessments.actions import signing
from assessments.actions.bundles import ask_bundle, make_bundle
from assessments.actions.signing import ask_preview, render_preview
from assessments.models import Bundle, Preview
from assessments.reports import files
from school.actions import jobs
from school.models import Account, Enrolment
from school.printing import Pdf
from tests.assessments.factories import EntryFactory, attendee_of, made_report, session_at
from tests.house_signing import ONE_PAGE

pytestmark = pytest.mark.django_db
Job = Preview | Bundle
KINDS = ("preview", "print", "archive")


@pytest.fixture
def attendee(instructor: Account, monkeypatch: pytest.MonkeyPatch) -> Enrolment:
    monkeypatch.setattr(signing, "compose", lambda contents: contents)
    monkeypatch.setattr(signing, "render", lambda composed: Pdf(ONE_PAGE, 1))
    found = attendee_of(session_at(instructor, "coach_paragraph", "exit"))
    EntryFactory.create(enrolment=found)
    made_report(found, content=ONE_PAGE)
    return found


class Full(io.FileIO):
    """A file on a disk that has no room."""

    def write(self, part: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")


def asked(kind: str, attendee: Enrolment, actor: Account) -> Job:
    if kind == "preview":
        return ask_preview(enrolment=attendee, actor=actor)
    return ask_bundle(school=attendee.school, kind=kind, actor=actor)


def work(job: Job) -> bool:
    return render_preview(job.pk) if isinstance(job, Preview) else make_bundle(job.pk)


def left(kind: str) -> list[str]:
    shelf = {"preview": files.PREVIEWS, "print": files.PRINTS, "archive": files.ARCHIVES}[kind]
    return sorted(path.name for path in Path(default_storage.path(shelf.folder)).glob("*"))


@pytest.mark.parametrize("kind", KINDS)
def test_a_worker_paused_past_its_lease_publishes_nothing(
    kind: str, attendee: Enrolment, instructor: Account, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = asked(kind, attendee, instructor)
    placed, done = files.placed, []

    @contextmanager
    def paused(name: str) -> Iterator[BinaryIO]:
        monkeypatch.setattr(files, "placed", placed)
        type(job).objects.update(lease_until=timezone.now() - timedelta(seconds=1))
        done.append(work(job))
        with placed(name) as file:
            yield file

    monkeypatch.setattr(files, "placed", paused)
    assert not work(job)
    job.refresh_from_db()
    assert (done, job.state, job.claims) == ([True], "done", 2)
    assert left(kind) == [Path(job.file).name]


@pytest.mark.parametrize("kind", KINDS)
def test_a_full_disk_parks_it_with_words_and_leaves_nothing(
    kind: str, attendee: Enrolment, instructor: Account, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Path.open
    monkeypatch.setattr(
        Path, "open", lambda path, mode="r": (Full if mode == "xb" else opened)(path, mode)
    )
    job = asked(kind, attendee, instructor)
    for _ in range(type(job).MAX_FAILURES):
        type(job).objects.update(not_before=timezone.now())
        assert not work(job)
    job.refresh_from_db()
    assert job.state == "parked"
    assert "disk is full" in job.reason
    assert left(kind) == []


def test_a_bundle_that_stopped_is_asked_for_again(attendee: Enrolment, front_desk: Account) -> None:
    first = asked("print", attendee, front_desk)
    token = jobs.claim(Bundle, first.pk)
    assert token
    jobs.park(Bundle, first.pk, token, reason="The disk is full.")
    second = asked("print", attendee, front_desk)
    assert work(second)
    assert list(Bundle.objects.filter(is_current=True)) == [second]


@pytest.mark.parametrize("kind", KINDS)
def test_what_cannot_wake_the_worker_stands_all_the_same(
    kind: str,
    attendee: Enrolment,
    instructor: Account,
    monkeypatch: pytest.MonkeyPatch,
    django_capture_on_commit_callbacks: Callable[..., object],
) -> None:
    def full(task: str, pk: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(jobs, "_send", full)
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[attr-defined]
        job = asked(kind, attendee, instructor)
    assert type(job).objects.get().state == "queued"
