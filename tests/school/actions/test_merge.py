"""Making one golfer of two entries for the same person."""

from collections import Counter
from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from school.actions.enrolment import enrol
from school.actions.imports import import_golfers
from school.actions.merge import FIELDS, Side, merge_golfers
from school.actions.money import record_payment
from school.details import GolferDetails
from school.errors import GuardianNeeded, MergeRefused
from school.models import Account, AuditEntry, Enrolment, Golfer, LedgerEntry, School
from school.queries.duplicates import plan_merge
from school.queries.golfers import known_golfers, recognise
from school.queries.search import find_people
from tests.factories import (
    AccountFactory,
    EnrolmentFactory,
    GolferFactory,
    SchoolFactory,
    StaffFactory,
    consented,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def keep(db: None) -> Golfer:
    return GolferFactory.create(
        full_name="Joanna Bell", email="jo@example.org", care_notes="left knee"
    )


@pytest.fixture
def gone(db: None) -> Golfer:
    return GolferFactory.create(
        full_name="Jo Bell",
        email="joanna@example.org",
        phone="01632 960303",
        birth_date=date(1980, 4, 1),
        care_notes="deaf in one ear",
    )


def merge(keep: Golfer, gone: Golfer, **take: Side) -> Golfer:
    return merge_golfers(keep=keep, gone=gone, take=take, actor=None)


def test_the_enrolments_move_with_all_that_hangs_on_them(keep: Golfer, gone: Golfer) -> None:
    enrolment = consented(enrol(school=SchoolFactory.create(), golfer=gone, actor=None), "terms")
    record_payment(enrolment=enrolment, amount=Decimal(9), method="cash", actor=None)
    merge(keep, gone)
    enrolment.refresh_from_db()
    assert enrolment.golfer == keep
    assert (enrolment.consents.count(), enrolment.ledger.count()) == (1, 2)


def test_who_is_gone_names_who_it_became(keep: Golfer, gone: Golfer) -> None:
    merge(keep, gone)
    gone.refresh_from_db()
    assert gone.merged_into == keep


def test_an_empty_field_gets_the_others_value(keep: Golfer, gone: Golfer) -> None:
    merged = merge(keep, gone)
    assert (merged.phone, merged.birth_date) == ("01632 960303", date(1980, 4, 1))
    assert (merged.full_name, merged.email) == ("Joanna Bell", "jo@example.org")


def test_a_field_is_as_chosen(keep: Golfer, gone: Golfer) -> None:
    merged = merge(keep, gone, email="gone", phone="keep", care_notes="both")
    merged.refresh_from_db()
    assert (merged.email, merged.phone) == ("joanna@example.org", "")
    assert merged.care_notes == "left knee\ndeaf in one ear"


def test_the_others_name_and_email_may_both_stay(keep: Golfer, gone: Golfer) -> None:
    """The unique pair of e-mail and name belongs to whoever is not merged."""
    merged = merge(keep, gone, email="gone", full_name="gone")
    assert (merged.full_name, merged.email) == (gone.full_name, gone.email)


def test_the_trail_keeps_what_was_overwritten(
    keep: Golfer, gone: Golfer, front_desk: Account
) -> None:
    merge_golfers(keep=keep, gone=gone, take={"email": "gone"}, actor=front_desk)
    entry = AuditEntry.objects.get(verb="merge_golfers")
    assert (entry.actor, entry.subject) == (front_desk, f"school.golfer {keep.pk}")
    assert entry.detail["replaced"] == {"email": "jo@example.org"}
    assert entry.detail["gone"] == gone.pk


def test_both_in_one_school_are_refused(keep: Golfer, gone: Golfer) -> None:
    school = SchoolFactory.create(name="Spring school")
    for golfer in (keep, gone):
        enrol(school=school, golfer=golfer, actor=None)
    with pytest.raises(MergeRefused, match="Both are in Spring school"):
        merge(keep, gone)


def test_a_cancelled_enrolment_is_no_hindrance(keep: Golfer, gone: Golfer) -> None:
    school = EnrolmentFactory.create(golfer=keep).school
    EnrolmentFactory.create(
        school=school, golfer=gone, state="cancelled", seat=None, cancelled_at=timezone.now()
    )
    merge(keep, gone)
    assert keep.enrolments.count() == 2


def test_two_who_sign_in_are_refused(keep: Golfer, gone: Golfer) -> None:
    for golfer in (keep, gone):
        give_account(golfer, is_used=True)
    with pytest.raises(MergeRefused, match="may be two people"):
        merge(keep, gone)


def give_account(golfer: Golfer, *, is_used: bool) -> Account:
    last_login = timezone.now() if is_used else None
    golfer.account = AccountFactory.create(last_login=last_login)
    golfer.save(update_fields=["account"])
    return golfer.account


@pytest.mark.parametrize(
    ("of_keep", "of_gone", "stays"), [(0, 0, "keep"), (1, 0, "keep"), (0, 1, "gone")]
)
def test_of_two_sign_ins_the_used_one_stays(
    keep: Golfer, gone: Golfer, of_keep: int, of_gone: int, stays: str
) -> None:
    accounts = {
        "keep": give_account(keep, is_used=bool(of_keep)),
        "gone": give_account(gone, is_used=bool(of_gone)),
    }
    merge(keep, gone)
    keep.refresh_from_db()
    for account in accounts.values():
        account.refresh_from_db()
    assert keep.account == accounts[stays]
    assert [name for name, account in accounts.items() if account.is_active] == [stays]


def test_a_sign_in_of_staff_is_never_shut(keep: Golfer, gone: Golfer) -> None:
    keep.account = StaffFactory.create(teaches=True).account
    keep.save(update_fields=["account"])
    shut = give_account(gone, is_used=False)
    merge(keep, gone)
    shut.refresh_from_db()
    assert keep.account.is_active
    assert not shut.is_active


def test_the_only_sign_in_follows(keep: Golfer, gone: Golfer) -> None:
    account = give_account(gone, is_used=True)
    merge(keep, gone)
    keep.refresh_from_db()
    assert keep.account == account


def test_nobody_is_merged_twice_or_with_itself(keep: Golfer, gone: Golfer) -> None:
    with pytest.raises(MergeRefused, match="itself"):
        merge(keep, keep)
    merge(keep, gone)
    with pytest.raises(MergeRefused, match="before"):
        merge(GolferFactory.create(), gone)


def test_who_was_merged_before_follows(keep: Golfer, gone: Golfer) -> None:
    first = GolferFactory.create()
    merge(gone, first)
    merge(keep, gone)
    first.refresh_from_db()
    assert first.merged_into == keep


def test_an_enrolled_minor_keeps_a_guardian(keep: Golfer, gone: Golfer) -> None:
    minor = {"birth_date": date(2014, 9, 17), "guardian_name": "Hugh", "guardian_phone": "01632"}
    Golfer.objects.filter(pk=gone.pk).update(**minor)
    enrolment = EnrolmentFactory.create(golfer=gone)
    with pytest.raises(GuardianNeeded):
        merge(keep, gone, guardian_phone="keep")
    enrolment.refresh_from_db()
    assert enrolment.golfer == gone
    merge(keep, gone)


def test_details_that_a_third_golfer_has_are_refused(keep: Golfer, gone: Golfer) -> None:
    GolferFactory.create(full_name="Joanna Bell", email="joanna@example.org")
    with pytest.raises(ValidationError, match="already on file"):
        merge(keep, gone, email="gone")
    gone.refresh_from_db()
    assert gone.merged_into is None


@pytest.mark.parametrize(
    "details",
    [
        GolferDetails(full_name="jo bell", handedness="right", email="Joanna@example.org"),
        GolferDetails(full_name="Jo Bell", handedness="right", birth_date=date(1980, 4, 1)),
        GolferDetails(full_name="Joanna Bell", handedness="right", email="jo@example.org"),
        GolferDetails(full_name="Joanna Bell", handedness="right", birth_date=date(1980, 4, 1)),
    ],
)
def test_either_entry_is_known_as_who_stays(
    keep: Golfer, gone: Golfer, details: GolferDetails
) -> None:
    merge(keep, gone)
    assert recognise(details, known_golfers([details])) == keep


def test_a_list_with_the_old_entry_finds_who_stays(keep: Golfer, gone: Golfer) -> None:
    merge(keep, gone)
    school = SchoolFactory.create()
    text = "name,handed,email\nJo Bell,right,joanna@example.org\n"
    import_golfers(school=school, data=text, actor=None)
    assert [e.golfer for e in school.enrolments.all()] == [keep]


def test_who_is_gone_stands_in_no_list(keep: Golfer, gone: Golfer) -> None:
    merge(keep, gone)
    assert [row.golfer for row in find_people("bell").rows] == [keep]


def test_the_words_beforehand_say_what_moves(keep: Golfer, gone: Golfer) -> None:
    EnrolmentFactory.create(golfer=gone, school__name="Spring school")
    account = give_account(gone, is_used=True)
    said = " ".join(plan_merge(keep, gone).lines)
    assert "Spring school, 7 May 2027: the enrolment (has a seat) moves to Joanna Bell" in said
    assert f"The sign-in {account.email} stays" in said


PLACES = st.lists(
    st.tuples(
        st.integers(0, 1),
        st.integers(0, 3),
        st.decimals("0.01", "999.99", places=2),
        st.booleans(),
    ),
    max_size=6,
)
TAKE = st.dictionaries(st.sampled_from(FIELDS), st.sampled_from(["keep", "gone", "both"]))


def fill(
    golfers: list[Golfer], schools: list[School], places: list[tuple[int, int, Decimal, bool]]
) -> None:
    for who, where, amount, is_live in places:
        live = schools[where].enrolments.filter(golfer=golfers[who], state__in=Enrolment.LIVE)
        if is_live and live.exists():
            continue
        made = EnrolmentFactory.create(
            school=schools[where],
            golfer=golfers[who],
            **({} if is_live else {"state": "cancelled", "seat": None}),
            cancelled_at=None if is_live else timezone.now(),
        )
        record_payment(enrolment=made, amount=amount, method="cash", actor=None)


def everything(golfers: list[Golfer]) -> tuple[Counter[int], Counter[tuple[int, Decimal]]]:
    """The union of the golfers' enrolments, and of their ledgers."""
    enrolments = Enrolment.objects.filter(golfer__in=golfers).values_list("pk", flat=True)
    entries = LedgerEntry.objects.filter(enrolment__golfer__in=golfers)
    return Counter(enrolments), Counter(entries.values_list("enrolment", "amount"))


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(PLACES, TAKE)
def test_nothing_is_lost(
    places: list[tuple[int, int, Decimal, bool]], take: dict[str, Side]
) -> None:
    keep, gone = golfers = GolferFactory.create_batch(2)
    fill(golfers, SchoolFactory.create_batch(4), places)
    before = everything(golfers)
    try:
        merge_golfers(keep=keep, gone=gone, take=take, actor=None)
    except MergeRefused:
        assert everything(golfers) == before
        return
    assert everything([keep]) == before
    assert not gone.enrolments.exists()
