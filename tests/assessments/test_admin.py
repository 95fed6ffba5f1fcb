"""What was recorded can be looked up in the admin and changed nowhere but through actions."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import ReferenceStill
from school.models import Account
from tests.assessments.factories import MeasureFactory, StillFactory, StudyFactory
from tests.factories import AccountFactory

pytestmark = pytest.mark.django_db
KINDS = ["still", "entry", "measure", "report"]
KINDS += ["filmingplace", "study", "marking", "referencestill"]


@pytest.fixture
def admin(client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(AccountFactory.create(is_staff=True, is_superuser=True))


@pytest.mark.parametrize("kind", KINDS)
def test_every_list_opens(kind: str, admin: Client) -> None:
    ReferenceStill.objects.create(still=StillFactory.create())
    StudyFactory.create()
    MeasureFactory.create()
    assert admin.get(reverse(f"admin:assessments_{kind}_changelist")).status_code == 200


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_added_here(kind: str, admin: Client) -> None:
    assert admin.get(reverse(f"admin:assessments_{kind}_add")).status_code == 403


def test_a_still_leads_to_its_picture(admin: Client) -> None:
    still = StillFactory.create()
    page = admin.get(reverse("admin:assessments_still_change", args=[still.pk]))
    assert reverse("still_picture", args=[still.pk]) in page.content.decode()


@pytest.mark.parametrize(("page", "status"), [("change", 200), ("delete", 403)])
def test_an_entry_is_looked_at_and_not_deleted(page: str, status: int, admin: Client) -> None:
    entry = MeasureFactory.create().entry
    answer = admin.get(reverse(f"admin:assessments_entry_{page}", args=[entry.pk]))
    assert answer.status_code == status
