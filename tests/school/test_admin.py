"""Reference rows are written through the action; what happened is only looked at."""

import pytest
from django.contrib import admin
from django.test import Client

from school.admin import ReadOnlyAdmin, ReferenceAdmin
from school.models import Account, AuditEntry, Programme, Staff
from tests.factories import (
    AccountFactory,
    ConsentTextFactory,
    EnrolmentFactory,
    ProgrammeFactory,
    consented,
)

PROGRAMME = {
    "name": "Two-day putting school",
    "summary": "",
    "days": 2,
    "capacity": 8,
    "squad_size": 4,
    "price": "420.00",
    "deposit": "100.00",
    "currency": "GBP",
    "balance_due_days": 28,
    "offer_hours": 48,
    "included": "",
    "to_bring": "",
    "paper": "letter",
    "is_offered": "on",
    "day_opens": "09:00",
    "slot_min": 45,
    "morning_slots": 4,
    "lunch_min": 60,
    "afternoon_slots": 4,
}


@pytest.fixture
def keeper(db: None) -> Account:
    return AccountFactory.create(full_name="Kit Keeper", is_staff=True, is_superuser=True)


@pytest.fixture
def admin_client(keeper: Account) -> Client:
    client = Client()
    client.force_login(keeper)
    return client


def ours() -> list[type]:
    return [m for m in admin.site._registry if m._meta.app_label in ("school", "lessons")]


def test_every_registered_table_is_reference_or_read_only(db: None) -> None:
    bases = (ReferenceAdmin, ReadOnlyAdmin)
    assert [m for m in ours() if not isinstance(admin.site._registry[m], bases)] == []


def test_a_new_programme_leaves_a_trail(admin_client: Client, keeper: Account) -> None:
    admin_client.post("/admin/school/programme/add/", PROGRAMME)
    programme = Programme.objects.get()
    trail = AuditEntry.objects.get(subject=f"school.programme {programme.pk}")
    assert (trail.actor, trail.verb) == (keeper, "add")


def test_a_change_writes_and_names_the_changed_fields(admin_client: Client) -> None:
    programme = ProgrammeFactory.create(**{**PROGRAMME, "is_offered": True})
    url = f"/admin/school/programme/{programme.pk}/change/"
    admin_client.post(url, {**PROGRAMME, "capacity": 9})
    programme.refresh_from_db()
    assert programme.capacity == 9
    assert AuditEntry.objects.get(verb="change").detail == {"fields": ["capacity"]}


def test_a_deposit_above_the_price_is_refused_in_words(admin_client: Client) -> None:
    answer = admin_client.post("/admin/school/programme/add/", {**PROGRAMME, "deposit": "500"})
    assert "The deposit cannot be more than the price." in answer.content.decode()
    assert not Programme.objects.exists()


def test_deleting_a_programme_leaves_a_trail(admin_client: Client) -> None:
    programme = ProgrammeFactory.create(name="Old one")
    admin_client.post(f"/admin/school/programme/{programme.pk}/delete/", {"post": "yes"})
    assert AuditEntry.objects.get(verb="delete").detail == {"was": "Old one"}


def test_deleting_a_selection_leaves_a_trail_each(admin_client: Client) -> None:
    rows = ProgrammeFactory.create_batch(2)
    chosen = {"action": "delete_selected", "post": "yes", "_selected_action": [r.pk for r in rows]}
    admin_client.post("/admin/school/programme/", chosen)
    assert AuditEntry.objects.filter(verb="delete").count() == 2


def test_an_account_is_made_with_a_password(admin_client: Client) -> None:
    admin_client.post(
        "/admin/school/account/add/",
        {
            "email": "Nia@Example.org",
            "full_name": "Nia New",
            "usable_password": "true",
            "password1": "marsh-and-heron",
            "password2": "marsh-and-heron",
        },
    )
    account = Account.objects.get(email="nia@example.org")
    assert account.check_password("marsh-and-heron")


def test_a_new_password_says_who_set_it(admin_client: Client, keeper: Account) -> None:
    account = AccountFactory.create()
    admin_client.post(
        f"/admin/school/account/{account.pk}/password/",
        {
            "password1": "marsh-and-heron",
            "password2": "marsh-and-heron",
            "usable_password": "true",
            "set-password": "1",
        },
    )
    account.refresh_from_db()
    assert account.check_password("marsh-and-heron")
    assert AuditEntry.objects.get(verb="set_password").actor == keeper


def test_an_account_changes_its_name_and_keeps_its_password(admin_client: Client) -> None:
    account = AccountFactory.create(password="wind-and-dunes")
    admin_client.post(
        f"/admin/school/account/{account.pk}/change/",
        {"email": account.email, "full_name": "Renamed", "is_active": "on"},
    )
    account.refresh_from_db()
    assert account.full_name == "Renamed"
    assert account.check_password("wind-and-dunes")


def test_staff_without_a_job_are_refused_in_words(admin_client: Client) -> None:
    answer = admin_client.post("/admin/school/staff/add/", {"account": AccountFactory.create().pk})
    assert "Tick at least one job." in answer.content.decode()
    assert not Staff.objects.exists()


def test_a_text_somebody_agreed_to_can_no_longer_be_changed(admin_client: Client) -> None:
    text = ConsentTextFactory.create(kind="filming")
    consented(EnrolmentFactory.create(), "filming")
    url = f"/admin/school/consenttext/{text.pk}/change/"
    answer = admin_client.post(url, {"kind": "filming", "version": 1, "body": "Other words"})
    assert answer.status_code == 403


@pytest.mark.parametrize("model", ["enrolment", "ledgerentry", "consent", "auditentry", "golfer"])
def test_what_happened_cannot_be_added_here(admin_client: Client, model: str) -> None:
    assert admin_client.get(f"/admin/school/{model}/").status_code == 200
    assert admin_client.get(f"/admin/school/{model}/add/").status_code == 403


def test_an_enrolment_can_be_neither_changed_nor_deleted_here(admin_client: Client) -> None:
    enrolment = EnrolmentFactory.create()
    base = f"/admin/school/enrolment/{enrolment.pk}"
    assert admin_client.get(f"{base}/change/").status_code == 200
    assert admin_client.post(f"{base}/change/", {"seat": 5}).status_code == 403
    assert admin_client.post(f"{base}/delete/", {"post": "yes"}).status_code == 403
