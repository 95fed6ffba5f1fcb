"""Each page with only, and with all but, the job it needs; the pictures for nobody else."""

from collections.abc import Callable, Sequence
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from assessments.actions.entries import record_entry
from assessments.actions.stills import add_still
from assessments.models import Entry, Still
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import attendee_of, marking, rendering, session_at
from tests.factories import StaffFactory, consented
from tests.lessons.factories import SessionFactory, instructor_for

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]

RECORDING = ["entry_new", "still_mark", "capture", "stills_bulk", "marking_queue"]
POSTS = ["still_add", "still_record", "stills_bulk_add"]
LOOKING = ["entry_detail", "still_picture", "still_overlay"]


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "impact")


@pytest.fixture
def attendee(session: Session, golfer: Account) -> Enrolment:
    enrolment = consented(attendee_of(session))
    enrolment.golfer = golfer.golfer
    enrolment.save(update_fields=["golfer"])
    return enrolment


@pytest.fixture
def still(attendee: Enrolment, instructor: Account) -> Still:
    return add_still(
        id=uuid4(),
        enrolment=attendee,
        phase="intake",
        club_class="iron",
        shot_kind="full",
        upload=rendering(),
        uploaded_by=instructor,
    )


@pytest.fixture
def entry(still: Still, session: Session, instructor: Account) -> Entry:
    return record_entry(
        id=uuid4(),
        enrolment=still.enrolment,
        kind="impact",
        phase="intake",
        payload=marking(),
        recorded_by=instructor,
        session=session,
        still=still,
    )


@pytest.fixture
def url(session: Session, still: Still, entry: Entry) -> Callable[[str], str]:
    def of(name: str) -> str:
        school = (session.plan.school_id,)
        arguments: dict[str, Sequence[Any]] = {
            "entry_new": [session.pk, still.enrolment_id, "impact"],
            "still_add": [session.pk, still.enrolment_id, "impact"],
            "capture": [session.pk, still.enrolment_id, "impact"],
            "entry_detail": [entry.pk],
            **dict.fromkeys(("stills_bulk", "stills_bulk_add", "marking_queue"), school),
        }
        return reverse(name, args=arguments.get(name, [still.pk]))

    return of


def account_with(*jobs: str) -> Account:
    account: Account = StaffFactory.create(**dict.fromkeys(jobs, True)).account
    return account


@pytest.mark.parametrize("name", [*RECORDING, *LOOKING])
def test_the_schools_instructor_opens_every_page(
    name: str, url: Callable[[str], str], client_of: ClientOf, instructor: Account
) -> None:
    assert client_of(instructor).get(url(name)).status_code == 200


@pytest.mark.parametrize("name", [*RECORDING, *LOOKING])
def test_the_lead_instructor_does_too(
    name: str, url: Callable[[str], str], client_of: ClientOf, attendee: Enrolment
) -> None:
    assert client_of(attendee.school.lead_instructor.account).get(url(name)).status_code == 200


@pytest.mark.parametrize("name", [*RECORDING, *LOOKING])
def test_another_schools_instructor_opens_none(
    name: str, url: Callable[[str], str], client_of: ClientOf, other_instructor: Account
) -> None:
    SessionFactory.create(instructor=instructor_for(other_instructor))
    assert client_of(other_instructor).get(url(name)).status_code == 404


@pytest.mark.parametrize("name", LOOKING)
@pytest.mark.parametrize("job", ["at_front_desk", "owns"])
def test_desk_and_owner_may_look(
    name: str, job: str, url: Callable[[str], str], client_of: ClientOf
) -> None:
    assert client_of(account_with(job)).get(url(name)).status_code == 200


@pytest.mark.parametrize("name", RECORDING)
def test_all_jobs_but_teaching_do_not_record(
    name: str, url: Callable[[str], str], client_of: ClientOf
) -> None:
    assert client_of(account_with("at_front_desk", "owns")).get(url(name)).status_code == 404


@pytest.mark.parametrize("name", LOOKING)
def test_the_golfer_sees_their_own(
    name: str, url: Callable[[str], str], client_of: ClientOf, golfer: Account
) -> None:
    assert client_of(golfer).get(url(name)).status_code == 200


@pytest.mark.parametrize("name", RECORDING)
def test_the_golfer_records_nothing(
    name: str, url: Callable[[str], str], client_of: ClientOf, golfer: Account
) -> None:
    assert client_of(golfer).get(url(name)).status_code == 404


@pytest.mark.parametrize("name", [*RECORDING, *LOOKING])
def test_other_golfers_and_strangers_see_nothing(
    name: str,
    url: Callable[[str], str],
    client_of: ClientOf,
    other_golfer: Account,
    stranger: Account,
) -> None:
    answers = [client_of(account).get(url(name)) for account in (other_golfer, stranger)]
    assert [answer.status_code for answer in answers] == [404, 404]


@pytest.mark.parametrize("name", [*RECORDING, *LOOKING])
def test_signed_out_one_is_asked_to_sign_in(
    name: str, url: Callable[[str], str], client_of: ClientOf
) -> None:
    answer = client_of(None).get(url(name))
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith(reverse("sign_in"))


@pytest.mark.parametrize(
    ("name", "page"), [("still_add", "entry_new"), ("still_record", "still_mark")]
)
def test_who_signed_in_again_while_sending_comes_back_to_the_page(
    name: str, page: str, url: Callable[[str], str], client_of: ClientOf, instructor: Account
) -> None:
    assert client_of(instructor).get(url(name)).headers["Location"] == url(page)


@pytest.mark.parametrize("name", POSTS)
def test_nobody_but_the_schools_instructors_writes(
    name: str,
    url: Callable[[str], str],
    client_of: ClientOf,
    other_instructor: Account,
    golfer: Account,
) -> None:
    for account in (other_instructor, golfer, account_with("at_front_desk", "owns")):
        assert client_of(account).post(url(name)).status_code == 404


def test_a_golfer_is_shown_no_other_golfer(
    url: Callable[[str], str], client_of: ClientOf, golfer: Account, session: Session
) -> None:
    page = client_of(golfer).get(url("entry_detail")).content.decode()
    assert "Next:" not in page
    assert "Mark it again" not in page
