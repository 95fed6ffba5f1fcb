"""The page of findings: what it says, what it leads to, and what it costs."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import Entry
from assessments.queries.found import found_of
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import (
    EntryFactory,
    MeasureFactory,
    StillFactory,
    attendee_of,
    marking,
    session_at,
)
from tests.factories import SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "putting")


@pytest.fixture
def attendee(session: Session) -> Enrolment:
    return Enrolment.objects.select_related("golfer", "school").get(pk=attendee_of(session).pk)


@pytest.fixture
def page(
    client_of: ClientOf, instructor: Account, attendee: Enrolment
) -> Callable[[], tuple[Any, str]]:
    def get() -> tuple[Any, str]:
        at = reverse("attendee_findings", args=[attendee.school_id, attendee.pk])
        answer = client_of(instructor).get(at)
        text = " ".join(answer.content.decode().replace("&nbsp;", " ").split())
        return answer.context["found"], text

    return get


def putted(attendee: Enrolment, phase: str, rate: float, **fields: Any) -> Entry:
    entry: Entry = EntryFactory.create(enrolment=attendee, phase=phase, **fields)
    MeasureFactory.create(
        entry=entry, value=rate, low=rate - 10, high=rate + 10, standard_uncertainty=5.1
    )
    return entry


def test_before_anything_is_recorded_it_says_what_goes_here(page: Callable[[], Any]) -> None:
    _, text = page()
    assert "Nothing recorded yet" in text


def test_a_change_is_a_strength_and_leads_to_its_entries(
    page: Callable[[], Any], attendee: Enrolment
) -> None:
    entries = [putted(attendee, phase, rate) for phase, rate in (("intake", 30), ("exit", 80))]
    found, text = page()
    assert [point.measure.name for point in found.ranking.strengths] == ["make_rate_2m"]
    assert text.count("Up by 50%, for the better: an indication") == 3
    assert "Held to 5 %" in text
    assert all(reverse("entry_detail", args=[entry.pk]) in text for entry in entries)


def test_a_change_within_chance_is_not_called_one(
    page: Callable[[], Any], attendee: Enrolment
) -> None:
    for phase, rate in (("intake", 50), ("exit", 55)):
        putted(attendee, phase, rate)
    found, text = page()
    assert (found.changed, found.ranking.strengths, found.ranking.faults) == ((), (), ())
    assert "Nothing changed by more than chance may do" in text
    assert "within what we can measure" in text


def test_one_day_alone_compares_nothing(page: Callable[[], Any], attendee: Enrolment) -> None:
    putted(attendee, "intake", 50)
    assert "Nothing has been measured at both intake and exit yet" in page()[1]


def test_notes_and_practice_are_there_to_be_opened(
    page: Callable[[], Any], attendee: Enrolment
) -> None:
    note = EntryFactory.create(
        enrolment=attendee, kind="video_note", payload={"text": "Late.", "tag": "turn"}
    )
    practice = putted(attendee, "practice", 50)
    found, text = page()
    assert [part.title for part in found.parts] == ["Putting", "Coach’s note"]
    assert all(reverse("entry_detail", args=[one.pk]) in text for one in (note, practice))


def test_it_leads_to_the_practice_plan(page: Callable[[], Any], attendee: Enrolment) -> None:
    assert reverse("practice_plan", args=[attendee.school_id, attendee.pk]) in page()[1]


def test_the_desk_sees_the_findings_and_no_plan_to_edit(
    client_of: ClientOf, front_desk: Account, attendee: Enrolment
) -> None:
    at = reverse("attendee_findings", args=[attendee.school_id, attendee.pk])
    page = client_of(front_desk).get(at).content.decode()
    assert reverse("practice_plan", args=[attendee.school_id, attendee.pk]) not in page


def test_another_school_in_the_address_finds_nobody(
    client_of: ClientOf, instructor: Account, attendee: Enrolment
) -> None:
    other = SchoolFactory.create(lead_instructor=instructor.staff)
    at = reverse("attendee_findings", args=[other.pk, attendee.pk])
    assert client_of(instructor).get(at).status_code == 404


@pytest.mark.parametrize("count", [2, 4])
def test_n_entries_cost_what_2n_cost(attendee: Enrolment, count: int) -> None:
    for _ in range(count):
        putted(attendee, "intake", 50)
        still = StillFactory.create(enrolment=attendee)
        putted(attendee, "exit", 50, kind="impact", still=still, payload=marking())
    assert queries_of(lambda: found_of(attendee)) == 3
