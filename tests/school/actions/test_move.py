"""Moving an enrolment, with the money and the consents following."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db.models import QuerySet
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from school.actions.days import close_day
from school.actions.enrolment import cancel_enrolment, enrol
from school.actions.money import record_payment, reverse_entry
from school.actions.move import move_enrolment
from school.actions.refunds import discount, refund
from school.errors import (
    AlreadyEnrolled,
    GuardianNeeded,
    MarramError,
    MoveRefused,
    NotEnrolled,
    SchoolIsNotOpen,
)
from school.models import Account, AuditEntry, Consent, Enrolment, LedgerEntry, Message, School
from school.queries.days import day_books, entries_of, house_today, totals_of
from school.queries.move import money_by_method, plan_move
from tests.factories import (
    ConsentTextFactory,
    EnrolmentFactory,
    GolferFactory,
    SchoolFactory,
    consented,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def here(db: None) -> School:
    return SchoolFactory.create(name="Spring school", price=Decimal("960.00"), capacity=1)


@pytest.fixture
def there(db: None) -> School:
    return SchoolFactory.create(
        name="Autumn school", price=Decimal("800.00"), starts_on=date(2027, 9, 3)
    )


@pytest.fixture
def enrolment(here: School) -> Enrolment:
    made = enrol(school=here, golfer=GolferFactory.create(full_name="Gail"), actor=None)
    pay(made, "300.00", "cash")
    pay(made, "100.00", "card")
    return made


def pay(enrolment: Enrolment, amount: str, method: str) -> LedgerEntry:
    return record_payment(enrolment=enrolment, amount=Decimal(amount), method=method, actor=None)


def takings() -> dict[str, Decimal]:
    """Today's net takings by method, as the day's books have them."""
    return {m.method: m.net for m in totals_of(entries_of(house_today(), "GBP")) if m.net}


def test_the_place_and_the_money_move(
    enrolment: Enrolment, there: School, front_desk: Account
) -> None:
    new = move_enrolment(enrolment=enrolment, to=there, actor=front_desk)
    enrolment.refresh_from_db()
    assert (new.school, new.golfer, new.seat) == (there, enrolment.golfer, 1)
    assert enrolment.state == "cancelled"
    assert (enrolment.balance(), new.balance()) == (Decimal("0.00"), Decimal("400.00"))


def test_no_days_takings_change(enrolment: Enrolment, there: School) -> None:
    before = takings()
    move_enrolment(enrolment=enrolment, to=there, actor=None)
    assert takings() == before == {"cash": Decimal(300), "card": Decimal(100)}


def test_a_day_closed_before_still_adds_up(enrolment: Enrolment, there: School) -> None:
    close_day(day=house_today(), currency="GBP", actor=None)
    move_enrolment(enrolment=enrolment, to=there, actor=None)
    (book,) = day_books(house_today(), ["GBP"])
    assert book.difference == 0
    assert len(book.late) == 4


def test_each_pair_is_one_refund_and_one_payment_by_one_method(
    enrolment: Enrolment, there: School
) -> None:
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    refunds = enrolment.ledger.filter(kind="refund").values_list("method", "amount", "entered_at")
    payments = new.ledger.filter(kind="payment").values_list("method", "amount", "entered_at")
    assert {(m, -a, at) for m, a, at in payments} == set(refunds)
    assert {(m, a) for m, a, _ in refunds} == {("cash", Decimal(300)), ("card", Decimal(100))}


def test_the_payment_as_received_stays_untouched(enrolment: Enrolment, there: School) -> None:
    move_enrolment(enrolment=enrolment, to=there, actor=None)
    received = enrolment.ledger.filter(kind="payment")
    assert not received.filter(reversed_by__isnull=False).exists()
    assert received.count() == 2


def test_what_was_paid_back_before_does_not_follow(enrolment: Enrolment, there: School) -> None:
    wrong = pay(enrolment, "50.00", "cash")
    reverse_entry(entry=wrong, why="typed twice", actor=None)
    pay(enrolment, "600.00", "transfer")
    refund(enrolment=enrolment, amount=Decimal(40), method="transfer", actor=None)
    assert money_by_method(enrolment) == {"cash": 300, "card": 100, "transfer": 560}
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    assert new.balance() == Decimal("-160.00")


def test_more_paid_back_by_a_method_than_came_in_moves_the_other_way(
    enrolment: Enrolment, there: School
) -> None:
    pay(enrolment, "600.00", "card")
    refund(enrolment=enrolment, amount=Decimal(40), method="transfer", actor=None)
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    assert new.ledger.get(method="transfer").kind == "refund"
    assert enrolment.balance() == 0


def test_a_discount_stays_behind(enrolment: Enrolment, there: School) -> None:
    discount(enrolment=enrolment, amount=Decimal(60), why="early", actor=None)
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    assert (enrolment.balance(), new.balance()) == (Decimal(0), Decimal(400))


def test_a_full_school_gives_a_place_on_its_list(enrolment: Enrolment, there: School) -> None:
    for seat in range(1, there.capacity + 1):
        EnrolmentFactory.create(school=there, seat=seat)
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    assert (new.state, new.seat, new.balance()) == ("waiting", None, Decimal("-400.00"))


def test_the_seat_left_is_offered(enrolment: Enrolment, here: School, there: School) -> None:
    waiting = enrol(school=here, golfer=GolferFactory.create(), actor=None)
    move_enrolment(enrolment=enrolment, to=there, actor=None)
    waiting.refresh_from_db()
    assert (waiting.state, waiting.seat) == ("offered", 1)


def test_who_waits_can_move_too(enrolment: Enrolment, here: School, there: School) -> None:
    waiting = enrol(school=here, golfer=GolferFactory.create(), actor=None)
    new = move_enrolment(enrolment=waiting, to=there, actor=None)
    assert new.is_seated


def test_answers_are_carried(enrolment: Enrolment, there: School) -> None:
    answers = {
        "goals": "lower ball",
        "keep_together": "Ann",
        "diet": "no nuts",
        "wants_club_hire": True,
    }
    Enrolment.objects.filter(pk=enrolment.pk).update(**answers)
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    new.refresh_from_db()
    assert {name: getattr(new, name) for name in answers} == answers


def test_consents_keep_text_time_and_giver(
    enrolment: Enrolment, there: School, front_desk: Account
) -> None:
    at = timezone.now() - timedelta(days=9)
    consented(enrolment, "terms", "risk", given_at=at, recorded_by=front_desk)
    consented(enrolment, "news", withdrawn_at=at)
    ConsentTextFactory.create(kind="terms", version=2)
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    columns = ("text__kind", "text__version", "given_at", "given_by", "recorded_by")
    carried = set(live(new).values_list(*columns))
    assert carried == {(kind, 1, at, "Gail", front_desk.pk) for kind in ("terms", "risk")}
    assert enrolment.consents.count() == 3


def live(enrolment: Enrolment) -> QuerySet[Consent]:
    return enrolment.consents.filter(withdrawn_at=None)


def test_a_guardians_consent_ends_with_being_a_minor(here: School, there: School) -> None:
    pip = GolferFactory.create(
        birth_date=date(2009, 7, 1), guardian_name="Hugh", guardian_phone="01632 960303"
    )
    enrolment = enrol(school=here, golfer=pip, actor=None)
    consented(enrolment, "terms", by_guardian=True)
    plan = plan_move(enrolment, there)
    assert any("will be of age: terms" in line for line in plan.there)
    assert live(move_enrolment(enrolment=enrolment, to=there, actor=None)).count() == 0


def test_the_confirmation_says_what_is_still_to_pay(enrolment: Enrolment, there: School) -> None:
    new = move_enrolment(enrolment=enrolment, to=there, actor=None)
    assert "£400.00" in Message.objects.get(enrolment=new, kind="confirmation").body
    assert "moved to Autumn" in Message.objects.get(enrolment=enrolment, kind="cancelled").body


def test_the_trail_says_from_where_to_where(
    enrolment: Enrolment, there: School, front_desk: Account
) -> None:
    new = move_enrolment(enrolment=enrolment, to=there, actor=front_desk)
    entry = AuditEntry.objects.get(verb="move_enrolment")
    assert (entry.actor, entry.detail["to"]) == (front_desk, new.pk)
    assert entry.detail["carried"] == {"card": "100.00", "cash": "300.00"}
    assert AuditEntry.objects.get(verb="arrive").detail["came_from"] == enrolment.pk


def test_the_words_beforehand_say_what_happens(enrolment: Enrolment, there: School) -> None:
    plan = plan_move(enrolment, there)
    said = " ".join(plan.here + plan.there + plan.money)
    assert "gives up seat 1 in Spring school" in said
    assert "gets seat 1 in Autumn school" in said
    assert "£400.00 counts as paid" in said
    assert "£800.00 is charged" in said
    assert "then Gail owes £400.00." in said


def test_currencies_are_not_mixed(enrolment: Enrolment) -> None:
    abroad = SchoolFactory.create(currency="EUR")
    with pytest.raises(MoveRefused, match="so the money cannot follow"):
        move_enrolment(enrolment=enrolment, to=abroad, actor=None)
    assert enrolment.ledger.count() == 3


def test_what_cannot_be_moved(enrolment: Enrolment, here: School, there: School) -> None:
    with pytest.raises(MoveRefused, match="already"):
        move_enrolment(enrolment=enrolment, to=here, actor=None)
    with pytest.raises(SchoolIsNotOpen):
        move_enrolment(enrolment=enrolment, to=SchoolFactory.create(state="draft"), actor=None)
    enrol(school=there, golfer=enrolment.golfer, actor=None)
    with pytest.raises(AlreadyEnrolled):
        move_enrolment(enrolment=enrolment, to=there, actor=None)
    cancel_enrolment(enrolment=enrolment, why="", actor=None)
    with pytest.raises(NotEnrolled):
        move_enrolment(enrolment=enrolment, to=there, actor=None)


def test_nobody_is_moved_out_of_a_closed_school(there: School) -> None:
    closed = SchoolFactory.create(state="closed", closed_at=timezone.now())
    with pytest.raises(MoveRefused, match="closed"):
        move_enrolment(enrolment=EnrolmentFactory.create(school=closed), to=there, actor=None)


def test_a_refusal_half_way_leaves_everything(here: School) -> None:
    """A minor by the other school's first day, without a guardian."""
    earlier = SchoolFactory.create(starts_on=date(2027, 1, 8))
    golfer = GolferFactory.create(birth_date=date(2009, 3, 1))
    enrolment = enrol(school=here, golfer=golfer, actor=None)
    with pytest.raises(GuardianNeeded):
        move_enrolment(enrolment=enrolment, to=earlier, actor=None)
    enrolment.refresh_from_db()
    assert (enrolment.is_seated, earlier.enrolments.count()) == (True, 0)


MONEY = st.decimals("0.01", "999.99", places=2)
STEP = st.one_of(
    st.tuples(st.sampled_from(["pay", "refund"]), MONEY, st.sampled_from(["cash", "card"])),
    st.tuples(st.just("discount"), MONEY, st.just("")),
    st.tuples(st.just("reverse"), st.just(Decimal(0)), st.just("")),
    st.tuples(st.just("move"), st.just(Decimal(0)), st.just("")),
)


def take(step: tuple[str, Decimal, str], enrolment: Enrolment, other: School) -> Enrolment:
    verb, amount, method = step
    if verb == "pay":
        record_payment(enrolment=enrolment, amount=amount, method=method, actor=None)
    elif verb == "refund":
        refund(enrolment=enrolment, amount=amount, method=method, actor=None)
    elif verb == "discount":
        discount(enrolment=enrolment, amount=amount, why="early", actor=None)
    elif verb == "reverse":
        reverse_entry(entry=enrolment.ledger.latest("pk"), why="wrong", actor=None)
    else:
        return move_enrolment(enrolment=enrolment, to=other, actor=None)
    return enrolment


@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(STEP, max_size=10))
def test_money_over_both_schools_sums_to_the_same(steps: list[tuple[str, Decimal, str]]) -> None:
    one, other = SchoolFactory.create_batch(2, capacity=1, price=Decimal("60.10"))
    enrolment = enrol(school=one, golfer=GolferFactory.create(), actor=None)
    for step in [*steps, ("move", Decimal(0), "")]:
        before, old = takings(), enrolment
        to = other if enrolment.school_id == one.pk else one
        try:
            enrolment = take(step, enrolment, to)
        except MarramError:
            continue
        if step[0] == "move":
            assert takings() == before
            assert old.balance() == 0
            carried = sum(money_by_method(enrolment).values(), Decimal(0))
            assert enrolment.balance() == Decimal("60.10") - carried
