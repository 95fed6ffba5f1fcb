"""What messages say of an enrolment, and what became of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Count, Q, QuerySet
from django.urls import reverse

from school.message_words import VARIABLES, Words, shipped_words
from school.models import Enrolment, Message, MessageKind, MessageTemplate, School
from school.queries.money import enrolment_money, instalments
from school.wording import format_money

# The words of these are not kept once they are sent.
SECRET = (MessageKind.SIGN_IN_CODE,)
# What went out with an address that ends is sent anew from where the address is made.
WITH_AN_END = (MessageKind.REPORT_READY,)
STANDING = {
    "queued": Q(state__in=["queued", "running"]),
    "failed": Q(state="parked"),
    "bounced": Q(bounced_at__isnull=False),
    "sent": Q(state="done", bounced_at__isnull=True),
}
LABELS = {"failed": "Failed", "bounced": "Bounced", "queued": "Waiting", "sent": "Sent"}


@dataclass(frozen=True)
class MessageLine:
    """One message with what became of it in a word, a tone (see icon.html) and a sentence.

    Its times are read in `time_zone`: the school's, or the house's.
    """

    message: Message
    time_zone: str
    word: str
    tone: str
    note: str
    can_go_again: bool
    can_bounce: bool


@dataclass(frozen=True)
class Pile:
    name: str
    label: str
    count: int


def template_words(kind: str) -> Words:
    """The house's own words for this kind, or those it came with. One query."""
    row = MessageTemplate.objects.filter(kind=kind).first()
    return Words(row.subject, row.body) if row else shipped_words()[kind]


def words_about(enrolment: Enrolment, kind: str) -> dict[str, object]:
    """What a template of this kind may say of the enrolment. At most two queries if its golfer and
    school are there.
    """
    school = enrolment.school
    found: dict[str, object] = {
        "golfer": enrolment.golfer.full_name,
        "school": school.name,
        "first_day": school.starts_on,
        "last_day": school.ends_on,
        "opens_at": school.day_opens,
        "venue": school.venue or "we write to you where to come",
        "included": school.included or "what was agreed when you enrolled",
        "to_bring": school.to_bring or "we write to you a week before",
        "my_page": settings.SITE_URL + reverse("mine"),
    }
    if enrolment.offer_ends_at:
        found["offer_ends"] = enrolment.offer_ends_at.astimezone(school.zone)
    if "to_pay" in VARIABLES[kind]:
        found["to_pay"] = _to_pay(enrolment)
    if "balance" in VARIABLES[kind]:
        owed = enrolment_money(enrolment).due
        found["balance"] = format_money(owed, school.currency) if owed > 0 else "nothing"
    if "balance_due_on" in VARIABLES[kind]:
        due_on = school.starts_on - timedelta(days=school.balance_due_days)
        enrolled_on = enrolment.enrolled_at.astimezone(school.zone).date()
        found["balance_due_on"] = max(due_on, enrolled_on)
    return found


def _to_pay(enrolment: Enrolment) -> str:
    """What is still to be paid until when, a line each."""
    sums = enrolment_money(enrolment)
    if sums.due <= 0:
        return "nothing"
    dues = instalments(enrolment, sums).dues
    if dues and not sums.received:
        return "\n".join(due.words for due in dues)
    by = f" by {dues[-1].date:%-d %B %Y}" if dues else ""
    return f"{format_money(sums.due, enrolment.school.currency)}{by}"


def messages_of(enrolment: Enrolment) -> list[MessageLine]:
    """Every message about this enrolment, the latest first. One query."""
    rows = enrolment.messages.select_related("enrolment__school")
    return [line_of(message) for message in rows]


def pile_of(name: str) -> QuerySet[Message]:
    """The messages that stand so, the latest first, with whom they are about. One query."""
    rows = Message.objects.filter(STANDING[name])
    return rows.select_related("enrolment__golfer", "enrolment__school")


def piles() -> list[Pile]:
    """How many messages stand how. One query."""
    counts = Message.objects.aggregate(
        **{name: Count("pk", filter=which) for name, which in STANDING.items()}
    )
    return [Pile(name, label, counts[name]) for name, label in LABELS.items()]


def line_of(message: Message) -> MessageLine:
    """What to say of one message. No query."""
    word, tone, note = _standing(message)
    kept = message.kind not in SECRET
    is_sent = message.state == Message.State.DONE
    about = message.enrolment
    return MessageLine(
        message,
        about.school.time_zone if about else settings.HOUSE_TIME_ZONE,
        word,
        tone,
        note,
        can_go_again=kept and message.is_finished and not (is_sent and message.kind in WITH_AN_END),
        can_bounce=is_sent and message.bounced_at is None,
    )


def _standing(message: Message) -> tuple[str, str, str]:
    if message.bounced_at:
        return "bounced", "wrong", message.bounce_reason
    if message.state == Message.State.PARKED:
        return "failed", "wrong", message.reason
    if message.state != Message.State.DONE:
        return "waiting", "info", message.reason
    return "sent", "good", TWICE if may_be_doubled(message) else ""


TWICE = (
    "The worker stopped while it was sending this, so it was sent again under the same number; "
    "most mail systems drop the second copy."
)


def may_be_doubled(message: Message) -> bool:
    """Whether a claim ended neither in a failure nor in the sending that was recorded."""
    return message.state == Message.State.DONE and message.claims > message.failures + 1


def seated_before(school: School, moment: datetime) -> list[Enrolment]:
    """Who has a seat and had enrolled by then, with golfer and school. One query."""
    rows = school.enrolments.filter(state=Enrolment.State.SEATED, enrolled_at__lt=moment)
    return list(rows.select_related("golfer", "school"))


def settled_keys(keys: list[str]) -> set[str]:
    """Which of these messages exist already. One query."""
    return set(Message.objects.filter(once_key__in=keys).values_list("once_key", flat=True))
