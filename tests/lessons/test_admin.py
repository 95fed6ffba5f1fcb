"""Reference rows can be edited in the admin; what actions write cannot."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from lessons.models import Instructor, Place
from school.models import Account, AuditEntry
from tests.factories import AccountFactory
from tests.lessons.factories import (
    InstructorFactory,
    SessionFactory,
    StationFactory,
    TroubleFactory,
)

pytestmark = pytest.mark.django_db
KINDS = ["place", "walk", "feature", "bay", "station", "visit", "instructor"]
LOOKED_AT = [
    *("squad", "squadmember", "squadwish", "plan", "planedit", "session", "hold", "trouble"),
]


@pytest.fixture
def admin(client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(AccountFactory.create(is_staff=True, is_superuser=True))


@pytest.mark.parametrize("kind", [*KINDS, *LOOKED_AT])
def test_every_list_opens(kind: str, admin: Client) -> None:
    TroubleFactory.create(instructor=SessionFactory.create().instructor)
    assert admin.get(reverse(f"admin:lessons_{kind}_changelist")).status_code == 200


@pytest.mark.parametrize("kind", LOOKED_AT)
def test_what_actions_write_is_only_looked_at(kind: str, admin: Client) -> None:
    assert admin.get(reverse(f"admin:lessons_{kind}_add")).status_code == 403


@pytest.mark.parametrize("kind", KINDS)
def test_reference_rows_can_be_added(kind: str, admin: Client) -> None:
    assert admin.get(reverse(f"admin:lessons_{kind}_add")).status_code == 200


def test_a_place_is_added_through_the_action(admin: Client) -> None:
    typed = {"slug": "dunes", "name": "Dunes", "is_base": "on"}
    admin.post(reverse("admin:lessons_place_add"), typed)
    assert (Place.objects.get().name, Place.objects.get().is_base) == ("Dunes", True)
    assert AuditEntry.objects.get().verb == "add"


def test_qualifications_and_hours_are_kept_with_the_instructor(admin: Client) -> None:
    instructor = InstructorFactory.create()
    typed = {
        "staff": instructor.staff_id,
        "max_slots_a_day": 6,
        "max_run": 3,
        "load_factor": 1,
        "qualification_set-TOTAL_FORMS": 1,
        "qualification_set-INITIAL_FORMS": 0,
        "qualification_set-0-station": StationFactory.create().pk,
        "hours-TOTAL_FORMS": 1,
        "hours-INITIAL_FORMS": 0,
        "hours-0-starts_at_0": "2027-05-07",
        "hours-0-starts_at_1": "09:00",
        "hours-0-ends_at_0": "2027-05-07",
        "hours-0-ends_at_1": "17:00",
    }
    admin.post(reverse("admin:lessons_instructor_change", args=[instructor.pk]), typed)
    changed = Instructor.objects.get()
    assert changed.max_slots_a_day == 6
    assert (changed.stations.count(), changed.hours.count()) == (1, 1)
