"""What the desk and the public pages of a small house are about: seats, people and money."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from urllib.parse import parse_qs, urlsplit

from django.core import signing
from django.utils import timezone

from school.actions.bank import set_aside
from school.actions.checkouts import start_checkout
from school.actions.drafts import save_page, start_draft
from school.actions.money import record_payment
from school.actions.offers import offer_token
from school.actions.pay import record_earned
from school.bank_csv import payment_reference
from school.forms.enrolment_pages import TrapForm
from school.models import (
    Account,
    BankLine,
    Enrolment,
    EnrolmentDraft,
    Golfer,
    LedgerEntry,
    Message,
    PayEntry,
    School,
)
from school.payments.sandbox import answer_url, unsigned
from school.queries.money import refund_on_cancelling
from tests.factories import BankLineFactory, EnrolmentFactory, GolferFactory, SchoolFactory

YOU = {
    "full_name": "Nora Newcomer",
    "email": "nora@example.org",
    "phone": "01632 960111",
    "birth_date": "1971-03-14",
    "handedness": "left",
    "handicap_index": "12.4",
}
GOLF = {"goals": "Straighter irons", "emergency_contact": "Per 01632 960113"}


@dataclass(frozen=True)
class Desk:
    """A second school that is full: one seat is taken, one offered, and somebody waits.

    Of the first school `overpaid` is to get money back; the sandbox was `asked` for a deposit.
    """

    full: School
    offered: Enrolment
    waiting: Enrolment
    overpaid: Enrolment
    receipt: LedgerEntry
    asked: str
    draft: EnrolmentDraft
    sent_draft: EnrolmentDraft
    line: BankLine
    line_aside: BankLine
    pay: PayEntry
    message: Message
    twin: Golfer


def build_desk(*, attendee: Enrolment, overpaid: Enrolment, instructor: Account) -> Desk:
    school = attendee.school
    full = SchoolFactory.create(starts_on=school.starts_on + timedelta(days=7), capacity=2)
    seated = EnrolmentFactory.create(school=full)
    ends = timezone.now() + timedelta(days=1)
    offered = EnrolmentFactory.create(school=full, state="offered", seat=2, offer_ends_at=ends)
    record_payment(enrolment=overpaid, amount=school.price + 40, method="card", actor=None)
    receipt = record_payment(
        enrolment=attendee, amount=school.deposit / 2, method="card", actor=None
    )
    line = BankLineFactory.create(amount=attendee.balance(), text=payment_reference(attendee.pk))
    return Desk(
        full=full,
        offered=offered,
        waiting=EnrolmentFactory.create(school=full, state="waiting", seat=None),
        overpaid=overpaid,
        receipt=receipt,
        asked=_asked(attendee),
        draft=_draft(school),
        sent_draft=EnrolmentDraft.objects.create(token="sent", school=full, enrolment=seated),
        line=line,
        line_aside=set_aside(line=BankLineFactory.create(), why="Rent", actor=None),
        pay=record_earned(
            school=school, staff=instructor.staff, amount=school.deposit, memo="Days", actor=None
        ),
        message=_message(attendee),
        twin=GolferFactory.create(full_name=attendee.golfer.full_name, phone="01632 960115"),
    )


def _asked(attendee: Enrolment) -> str:
    """What the sandbox's page was asked, signed."""
    back = "http://testserver/checkouts/return/"
    url = start_checkout(enrolment=attendee, part="deposit", return_url=back, actor=None)
    return parse_qs(urlsplit(url).query)["asked"][0]


def _draft(school: School) -> EnrolmentDraft:
    draft = start_draft(school=school, answers=YOU)
    return save_page(draft=draft, page="golf", answers=GOLF)


def _message(attendee: Enrolment) -> Message:
    """One that was sent, so that it can come back or go again."""
    return Message.objects.create(
        kind="receipt",
        once_key="sent",
        enrolment=attendee,
        to=attendee.golfer.email,
        subject="Your receipt",
        body="Thank you.",
        state="done",
        finished_at=timezone.now(),
    )


def desk_addresses(desk: Desk, attendee: Enrolment) -> dict[str, list[Any]]:
    mine, golfer, school = [attendee.pk], attendee.golfer_id, [attendee.school_id]
    draft, line, message = [desk.draft.token], [desk.line.pk], [desk.message.pk]
    return {
        "offer_seat": [desk.waiting.pk],
        "seat_override": [desk.waiting.pk],
        "refund_add": [desk.overpaid.pk],
        **dict.fromkeys(OF_THE_ATTENDEE, mine),
        **dict.fromkeys(("school_export", "public_school", "join_start"), school),
        **dict.fromkeys(("join_resume", "join_later"), draft),
        "join_page": [desk.draft.token, "golf"],
        "join_done": [desk.sent_draft.token],
        "offer_answer": [offer_token(desk.offered)],
        "golfer": [golfer],
        "golfer_preferences": [golfer],
        "golfer_merge": [golfer, desk.twin.pk],
        **dict.fromkeys(("bank_match_one", "bank_set_aside"), line),
        "bank_take_up": [desk.line_aside.pk],
        "pay_reverse": [desk.pay.pk],
        "receipt": [desk.receipt.pk],
        **dict.fromkeys(("message", "message_again"), message),
    }


OF_THE_ATTENDEE = (
    "discount_add",
    "enrolment_move",
    "statement",
    "pay_online",
    "my_calendar",
    "leave",
)


def queries(desk: Desk) -> dict[str, dict[str, str]]:
    """What stands behind the question mark of an address, by URL name."""
    return {"sandbox": {"asked": desk.asked}}


def public_writes(desk: Desk) -> dict[str, dict[str, Any]]:
    began = signing.dumps(timezone.now().timestamp() - 60, salt=TrapForm.SALT)
    back = answer_url(unsigned(desk.asked), is_paid=True)
    return {
        "join_start": {**YOU, "began": began, "website": ""},
        "join_page": {**GOLF, "diet": "no nuts"},
        "join_later": {},
        "offer_answer": {"answer": "take"},
        "checkout_return": {"answer": parse_qs(urlsplit(back).query)["answer"][0]},
        "pay_online": {"part": "deposit"},
    }


def people_writes(desk: Desk, attendee: Enrolment) -> dict[str, dict[str, Any]]:
    preferences = {"distances_in": "m", "speeds_in": "m/s", "language": "de"}
    giving_up = {"why": "Fell ill", "kept": refund_on_cancelling(attendee).kept}
    return {
        "enrolment_cancel": giving_up,
        "leave": giving_up,
        "offer_seat": {"why": "Comes from afar"},
        "seat_override": {"why": "Comes from afar"},
        **dict.fromkeys(("golfer_preferences", "my_preferences"), preferences),
        "golfer_merge": {"email": "keep", "phone": "gone"},
        "enrolment_move": {"to": desk.full.pk},
        "school_export": {"file": "cohort", "columns": ["seat", "name"]},
        "message": {"why": "No such mailbox"},
        "message_again": {},
    }


def money_writes(desk: Desk, attendee: Enrolment) -> dict[str, dict[str, Any]]:
    reference = payment_reference(attendee.pk)
    return {
        "discount_add": {"amount": "10", "why": "Came before"},
        "refund_add": {"amount": "40", "method": "card"},
        "bank_import": {
            "currency": "GBP",
            "lines": f"Booked;Text;Amount\n07.05.2027;{reference};720,00\n",
            "confirm": "1",
        },
        "bank_match_one": {"who": reference},
        "bank_match_certain": {"pair": f"{desk.line.pk}:{attendee.pk}"},
        "bank_set_aside": {"why": "Rent of the range"},
        "bank_take_up": {"why": "Set aside by mistake"},
        "day_close": {"day": timezone.localdate(), "currency": "GBP"},
        "pay": {
            "kind": "paid",
            "staff": desk.pay.staff_id,
            "school": desk.pay.school_id,
            "amount": "100",
            "memo": "By transfer",
        },
        "pay_reverse": {"why": "Entered twice"},
    }
