"""Keeping a still for later schools, and letting go of it."""

import pytest
from django.utils import timezone

from assessments.actions.references import add_reference, remove_reference
from assessments.errors import ReferenceRefused
from assessments.models import Entry, ReferenceStill, Still
from school.errors import ConsentMissing
from school.models import Account, AuditEntry
from tests.assessments.factories import StillFactory
from tests.assessments.reports.scene import impact
from tests.assessments.wall.scene import KEPT, SHOWN, attendee
from tests.factories import SchoolFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(instructor: Account) -> Entry:
    return impact(attendee(SchoolFactory.create(), "Alma", KEPT), "exit")


@pytest.fixture
def still(entry: Entry) -> Still:
    assert entry.still is not None
    return entry.still


def kept() -> int:
    return ReferenceStill.objects.count()


def verbs() -> list[str]:
    return list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))


def test_a_still_is_kept_once_and_the_trail_says_by_whom(still: Still, instructor: Account) -> None:
    first = add_reference(still=still, actor=instructor)
    assert add_reference(still=still, actor=instructor) == first
    assert (first.chosen_by, kept()) == (instructor, 1)
    assert verbs() == ["add_reference"]


def test_a_still_is_let_go(still: Still, instructor: Account) -> None:
    add_reference(still=still, actor=instructor)
    for _ in range(2):
        remove_reference(still=still, actor=instructor)
    assert kept() == 0
    assert verbs() == ["add_reference", "remove_reference"]


def test_nothing_is_kept_without_consent(instructor: Account) -> None:
    entry = impact(attendee(SchoolFactory.create(), "Alma", SHOWN), "exit")
    assert entry.still is not None
    with pytest.raises(ConsentMissing, match="Alma has not agreed that stills are kept"):
        add_reference(still=entry.still, actor=instructor)
    assert (kept(), verbs()) == (0, [])


def test_nothing_is_kept_after_consent_was_withdrawn(still: Still, instructor: Account) -> None:
    still.enrolment.consents.update(withdrawn_at=timezone.now())
    with pytest.raises(ConsentMissing):
        add_reference(still=still, actor=instructor)


def test_an_unmarked_still_is_not_kept(still: Still, instructor: Account) -> None:
    bare = StillFactory.create(enrolment=still.enrolment)
    with pytest.raises(ReferenceRefused, match="not marked yet"):
        add_reference(still=bare, actor=instructor)


def test_a_doubtful_still_is_not_kept(entry: Entry, still: Still, instructor: Account) -> None:
    entry.warnings = ["not_at_impact"]
    entry.save(update_fields=["warnings"])
    with pytest.raises(ReferenceRefused, match=r"doubtful.* this is not the strike"):
        add_reference(still=still, actor=instructor)
    assert kept() == 0
