"""Every named constraint of the school app, broken by going round the actions and the forms."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import DatabaseError, IntegrityError, transaction
from django.utils import timezone

from school.models import (
    BankLine,
    Checkout,
    Consent,
    ConsentText,
    DayClose,
    Enrolment,
    LedgerEntry,
    PayEntry,
    School,
)
from tests.factories import (
    AccountFactory,
    ConsentTextFactory,
    EnrolmentFactory,
    GolferFactory,
    ProgrammeFactory,
    SchoolFactory,
    StaffFactory,
)

pytestmark = pytest.mark.django_db

Break = Callable[[], object]
BREAKS: dict[str, list[Break]] = {}


def breaks(name: str) -> Callable[[Break], Break]:
    def remember(act: Break) -> Break:
        BREAKS.setdefault(name, []).append(act)
        return act

    return remember


def entry(**columns: object) -> LedgerEntry:
    given = {"enrolment": EnrolmentFactory.create(), "kind": "charge", "amount": Decimal(9)}
    return LedgerEntry.objects.create(**{**given, **columns})


def live(school: School, **columns: object) -> Enrolment:
    return Enrolment(**{"school": school, "golfer": GolferFactory.create(), **columns})


@breaks("enrolment_seat_taken_once")
def two_on_one_seat() -> None:
    school = SchoolFactory.create()
    Enrolment.objects.bulk_create([live(school, state="seated", seat=1) for _ in range(2)])


@breaks("enrolment_golfer_in_school_once")
def in_twice() -> None:
    first = EnrolmentFactory.create()
    live(first.school, golfer=first.golfer, state="waiting").save()


@breaks("enrolment_seat_iff_seated")
def seated_without_a_seat() -> None:
    live(SchoolFactory.create(), state="seated").save()


@breaks("enrolment_seat_iff_seated")
def seat_zero() -> None:
    live(SchoolFactory.create(), state="seated", seat=0).save()


@breaks("enrolment_seat_iff_seated")
def waiting_on_a_seat() -> None:
    live(SchoolFactory.create(), state="waiting", seat=1).save()


@breaks("enrolment_cancelled_has_a_time")
def cancelled_at_no_time() -> None:
    live(SchoolFactory.create(), state="cancelled").save()


@breaks("enrolment_cancelled_has_a_time")
def waiting_but_cancelled_at() -> None:
    live(SchoolFactory.create(), state="waiting", cancelled_at=timezone.now()).save()


@breaks("ledger_sign_follows_kind")
def charge_below_zero() -> None:
    entry(amount=Decimal(-9))


@breaks("ledger_sign_follows_kind")
def payment_above_zero() -> None:
    entry(kind="payment", method="cash")


@breaks("ledger_sign_follows_kind")
def reversal_of_nothing() -> None:
    entry(kind="reversal", amount=0, reverses=entry())


@breaks("ledger_reversal_names_its_entry")
def reversal_of_no_entry() -> None:
    entry(kind="reversal")


@breaks("ledger_reversal_names_its_entry")
def charge_that_reverses() -> None:
    entry(reverses=entry())


@breaks("ledger_payment_has_a_method")
def payment_by_no_method() -> None:
    entry(kind="payment", amount=Decimal(-9))


@breaks("ledger_payment_has_a_method")
def charge_by_cash() -> None:
    entry(method="cash")


def pay(**columns: object) -> PayEntry:
    given = {"amount": Decimal(9), "memo": "three days"}
    school = SchoolFactory.create()
    return PayEntry.objects.create(
        **{**given, "school": school, "staff": school.lead_instructor, **columns}
    )


@breaks("pay_entry_is_some_amount")
def pay_of_nothing() -> None:
    pay(amount=0)


@breaks("pay_entry_says_what_for")
def pay_for_nothing_said() -> None:
    pay(memo="")


@breaks("day_closed_once")
def closed_twice() -> None:
    for _ in range(2):
        DayClose.objects.create(day=date(2027, 5, 7), currency="GBP", totals={})


@breaks("bank_line_matched_or_set_aside")
def matched_and_set_aside() -> None:
    BankLine.objects.create(
        booked_on=date(2027, 5, 7),
        amount=9,
        currency="GBP",
        fingerprint="f",
        entry=entry(),
        set_aside="rent",
    )


def checkout(**columns: object) -> None:
    given = {"enrolment": EnrolmentFactory.create(), "gateway": "sandbox", "amount": Decimal(9)}
    Checkout.objects.create(**{**given, **columns})


@breaks("checkout_is_above_zero")
def checkout_of_nothing() -> None:
    checkout(amount=0)


@breaks("checkout_paid_has_its_entry")
def paid_without_an_entry() -> None:
    checkout(state="paid")


@breaks("checkout_paid_has_its_entry")
def failed_with_an_entry() -> None:
    checkout(state="failed", entry=entry())


@breaks("consent_text_version_once")
def one_version_twice() -> None:
    ConsentText.objects.bulk_create([ConsentText(kind="risk", version=1) for _ in range(2)])


@breaks("consent_given_once")
def consent_twice() -> None:
    text, enrolment = ConsentTextFactory.create(), EnrolmentFactory.create()
    for _ in range(2):
        Consent.objects.create(enrolment=enrolment, text=text, given_by="Alma")


@breaks("consent_names_who_gave_it")
def consent_by_nobody() -> None:
    Consent.objects.create(enrolment=EnrolmentFactory.create(), text=ConsentTextFactory.create())


@breaks("programme_deposit_within_price")
def deposit_above_price() -> None:
    ProgrammeFactory.create(price=Decimal(10), deposit=Decimal(11))


@breaks("programme_squad_size_one_to_four")
def squads_of_five() -> None:
    ProgrammeFactory.create(squad_size=5)


@breaks("school_name_and_start_once")
def one_name_twice_on_a_day() -> None:
    for _ in range(2):
        SchoolFactory.create(name="Spring school")


@breaks("school_ends_after_it_starts")
def ends_before_it_starts() -> None:
    SchoolFactory.create(ends_on=date(2020, 1, 1))


@breaks("school_capacity_1_to_96")
def no_seats() -> None:
    SchoolFactory.create(capacity=0)


@breaks("school_capacity_1_to_96")
def too_many_seats() -> None:
    SchoolFactory.create(capacity=97)


@breaks("school_closed_has_a_time")
def closed_at_no_time() -> None:
    SchoolFactory.create(state="closed")


@breaks("school_closed_has_a_time")
def open_but_closed_at() -> None:
    SchoolFactory.create(closed_at=timezone.now())


@breaks("account_email_in_small_letters")
def email_in_capitals() -> None:
    AccountFactory.create(email="Alma@example.org")


@breaks("staff_has_a_job")
def staff_without_a_job() -> None:
    StaffFactory.create()


@breaks("golfer_email_and_name_once")
def on_file_twice() -> None:
    GolferFactory.create(full_name="Alma", email="alma@example.org")
    GolferFactory.create(full_name="ALMA", email="Alma@Example.org")


@breaks("golfer_handicap_index_in_range")
def handicap_too_high() -> None:
    GolferFactory.create(handicap_index=Decimal("54.1"))


@breaks("golfer_handicap_index_in_range")
def handicap_too_low() -> None:
    GolferFactory.create(handicap_index=Decimal("-10.1"))


@pytest.mark.parametrize(
    ("name", "act"), [(name, act) for name, acts in BREAKS.items() for act in acts]
)
def test_the_database_itself_refuses(name: str, act: Break) -> None:
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        act()
    said = str(refused.value)
    assert name in said or "UNIQUE" in said  # SQLite names the columns of a broken index instead


def test_every_named_constraint_is_tried() -> None:
    models = apps.get_app_config("school").get_models()
    named = {constraint.name for model in models for constraint in model._meta.constraints}
    assert named == set(BREAKS)


def test_an_entry_is_reversed_by_one_other() -> None:
    charge = entry()
    entry(kind="reversal", amount=Decimal(-9), reverses=charge)
    with pytest.raises(IntegrityError), transaction.atomic():
        entry(kind="reversal", amount=Decimal(-9), reverses=charge)


def test_the_database_refuses_to_change_an_entry() -> None:
    charge = entry()
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        LedgerEntry.objects.filter(pk=charge.pk).update(amount=Decimal(1))


def test_an_entry_cannot_be_saved_again() -> None:
    charge = entry()
    charge.amount = Decimal(1)
    with pytest.raises(IntegrityError), transaction.atomic():
        charge.save()


def test_an_entry_is_never_deleted() -> None:
    with pytest.raises(TypeError, match="reverse it"):
        entry().delete()


def test_the_database_refuses_to_change_what_an_instructor_earned() -> None:
    earned = pay()
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        PayEntry.objects.filter(pk=earned.pk).update(amount=Decimal(1))


def test_pay_is_never_deleted() -> None:
    with pytest.raises(TypeError, match="reverse it"):
        pay().delete()


def test_an_entry_answers_to_one_bank_line() -> None:
    paid = entry(kind="payment", amount=Decimal(-9), method="transfer")
    given = {"booked_on": date(2027, 5, 7), "amount": 9, "currency": "GBP", "entry": paid}
    with pytest.raises(IntegrityError), transaction.atomic():
        BankLine.objects.bulk_create(BankLine(fingerprint=mark, **given) for mark in "ab")


def test_a_bank_line_is_kept_once() -> None:
    given = {"booked_on": date(2027, 5, 7), "amount": 9, "currency": "GBP", "fingerprint": "f"}
    with pytest.raises(IntegrityError), transaction.atomic():
        BankLine.objects.bulk_create(BankLine(**given) for _ in range(2))


def test_a_reference_of_a_gateway_is_used_once() -> None:
    checkout(reference="r")
    with pytest.raises(IntegrityError), transaction.atomic():
        checkout(reference="r")
