"""Every named constraint of the school app, broken by going round the actions and the forms."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from uuid import uuid4

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
    Golfer,
    LedgerEntry,
    Message,
    MessageTemplate,
    PayEntry,
    Programme,
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


@breaks("enrolment_seat_taken_once")
def offered_what_another_has() -> None:
    school = EnrolmentFactory.create(seat=1).school
    live(school, state="offered", seat=1, offer_ends_at=timezone.now()).save()


@breaks("enrolment_golfer_in_school_once")
def offered_while_waiting() -> None:
    first = live(SchoolFactory.create(), state="waiting")
    first.save()
    ends_at = timezone.now()
    live(first.school, golfer=first.golfer, state="offered", seat=1, offer_ends_at=ends_at).save()


@breaks("enrolment_seat_iff_seated")
def offered_no_seat() -> None:
    live(SchoolFactory.create(), state="offered", offer_ends_at=timezone.now()).save()


@breaks("enrolment_offer_ends")
def offered_for_ever() -> None:
    live(SchoolFactory.create(), state="offered", seat=1).save()


@breaks("enrolment_offer_ends")
def seated_until() -> None:
    live(SchoolFactory.create(), state="seated", seat=1, offer_ends_at=timezone.now()).save()


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
def discount_above_zero() -> None:
    entry(kind="discount")


@breaks("ledger_sign_follows_kind")
def refund_below_zero() -> None:
    entry(kind="refund", amount=Decimal(-9), method="cash")


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
def refund_by_no_method() -> None:
    entry(kind="refund")


@breaks("ledger_payment_has_a_method")
def discount_by_cash() -> None:
    entry(kind="discount", amount=Decimal(-9), method="cash")


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


@breaks("school_deposit_within_price")
def schools_deposit_above_price() -> None:
    SchoolFactory.create(price=Decimal(10), deposit=Decimal(11))


def step(owner: Programme | School, percent: int) -> None:
    owner.refund_steps.create(days_before=7, percent=percent)


@breaks("programmerefundstep_percent_at_most_100")
def programme_gives_back_more_than_all() -> None:
    step(ProgrammeFactory.create(), 101)


@breaks("schoolrefundstep_percent_at_most_100")
def school_gives_back_more_than_all() -> None:
    step(SchoolFactory.create(), 101)


@breaks("programme_refund_step_once_a_day")
def programme_says_two_things_of_a_day() -> None:
    programme = ProgrammeFactory.create()
    for percent in (25, 50):
        step(programme, percent)


@breaks("school_refund_step_once_a_day")
def school_says_two_things_of_a_day() -> None:
    school = SchoolFactory.create()
    for percent in (25, 50):
        step(school, percent)


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


@breaks("golfer_merged_into_another")
def merged_into_itself() -> None:
    golfer = GolferFactory.create()
    Golfer.objects.filter(pk=golfer.pk).update(merged_into=golfer)


@breaks("golfer_handicap_index_in_range")
def handicap_too_high() -> None:
    GolferFactory.create(handicap_index=Decimal("54.1"))


@breaks("golfer_handicap_index_in_range")
def handicap_too_low() -> None:
    GolferFactory.create(handicap_index=Decimal("-10.1"))


def message(once_key: str = "k", **columns: object) -> Message:
    given = {"kind": "waiting", "to": "alma@example.org", "subject": "s", "body": "b"}
    return Message.objects.create(**{**given, **columns}, once_key=once_key)


@breaks("message_lease_iff_running")
def sending_without_a_lease() -> None:
    message(state="running")


@breaks("message_lease_iff_running")
def sent_with_a_lease() -> None:
    message(state="done", token=uuid4(), lease_until=timezone.now())


@breaks("message_parked_says_why")
def parked_for_no_reason() -> None:
    message(state="parked")


@breaks("message_bounce_says_why")
def bounced_for_no_reason() -> None:
    message(bounced_at=timezone.now())


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


def test_one_message_a_key() -> None:
    message()
    with pytest.raises(IntegrityError), transaction.atomic():
        message()


def test_one_text_a_kind_of_message() -> None:
    MessageTemplate.objects.create(kind="offer", subject="s", body="b")
    with pytest.raises(IntegrityError), transaction.atomic():
        MessageTemplate.objects.create(kind="offer", subject="s", body="b")


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
