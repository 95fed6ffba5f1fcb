"""The outbox: a message is a row written together with what caused it, and sent by the worker.

1. `send` renders the words and inserts the row in the caller's transaction. What is rolled back
   was never said; what is committed will be.
2. The worker claims the row, hands it to the mail system, and publishes.
3. A temporary trouble is tried again with growing waits; a refusal for good, or the fifth
   trouble, parks the row with words for the front desk.

A row is inserted once by its `once_key` and published once by its lease. One gap cannot be closed
from this side: if the worker dies after the mail system has taken the message and before the row
says so, the message is sent again when the lease lapses. Both copies then carry the same
Message-ID, made from the row alone, by which mail systems drop the second; and the row shows it
(`queries.messages.may_be_doubled`).
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from email.utils import parseaddr
from smtplib import SMTPAuthenticationError, SMTPRecipientsRefused, SMTPResponseException
from urllib.parse import urlsplit
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.utils import timezone

from school.actions import jobs
from school.actions.audit import note
from school.calendar_file import calendar_of
from school.errors import CannotSendAgain, TemplateRefused
from school.message_words import VARIABLES, Words, render_words, shipped_words
from school.models import Account, Enrolment, Message, MessageKind, School, SignInCode
from school.queries.messages import SECRET, WITH_AN_END, settled_keys, template_words, words_about

log = logging.getLogger(__name__)

REMINDERS = (
    MessageKind.BALANCE_DUE,
    MessageKind.CONSENT_MISSING,
    MessageKind.WHAT_TO_BRING,
    MessageKind.DAY_BEFORE,
)
NOT_KEPT = "The words of this message are not kept."


def send(
    *,
    kind: str,
    to: str,
    once_key: str,
    context: Mapping[str, object],
    enrolment: Enrolment | None = None,
    calendar: str = "",
) -> Message | None:
    """Put a message into the outbox, in the caller's transaction.

    What `message_words.COMMON` names is filled in from the enrolment; `context` adds to it or
    says otherwise, and its `link` may be a path of this site. For a minor the guardian, if there
    is an e-mail, is sent the same under a key of its own.

    Returns
    -------
    Message or None
        None if this was put in before, or there is nowhere to send it.
    """
    with transaction.atomic(savepoint=False):
        addresses = _addresses(once_key, to.lower(), enrolment)
        known = settled_keys(list(addresses))
        fresh = [(key, address) for key, address in addresses.items() if key not in known]
        if not fresh:
            return None
        words = _words(kind, context, enrolment)
        made = [
            _insert(
                Message(
                    kind=kind,
                    to=address,
                    once_key=key,
                    subject=words.subject,
                    body=words.body,
                    enrolment=enrolment,
                    calendar=calendar,
                )
            )
            for key, address in fresh
        ]
    return next((message for message in made if message), None)


def send_again(*, message: Message, actor: Account) -> Message:
    """Send what failed, or once more what was sent; returns the row that will be sent.

    What failed keeps its number, so that a copy that did arrive hides the other. What was sent
    goes again as a new message under a new number.

    Raises
    ------
    CannotSendAgain
        If it is on its way, its words were not kept, or it went out with an address that ends.
    """
    with transaction.atomic(durable=True):
        held = Message.objects.select_for_update().get(pk=message.pk)
        if held.kind in SECRET:
            raise CannotSendAgain("A code is sent only to whoever asks for it; ask for a new one.")
        if not held.is_finished:
            raise CannotSendAgain("This message is on its way already.")
        if held.kind in WITH_AN_END and held.state == Message.State.DONE:
            raise CannotSendAgain(
                "Its address may have ended. Send the report again from the reports of its school."
            )
        note(actor=actor, verb="send_again", subject=held)
        if jobs.requeue_parked(held):
            # Claims are counted from here, or old stops would look like copies sent.
            Message.objects.filter(pk=held.pk).update(claims=0)
            held.refresh_from_db()
            return held
        copy = Message.objects.create(
            kind=held.kind,
            once_key=_next_key(held),
            enrolment_id=held.enrolment_id,
            to=_address_now(held),
            subject=held.subject,
            body=held.body,
            calendar=held.calendar,
        )
        jobs.wake_on_commit(copy)
    return copy


def mark_bounced(*, message: Message, why: str, actor: Account) -> Message:
    """Note that the message came back, and why."""
    with transaction.atomic(durable=True):
        held = Message.objects.select_for_update().get(pk=message.pk)
        if held.state != Message.State.DONE or held.bounced_at:
            raise CannotSendAgain("Only a message that was sent can come back, and only once.")
        held.bounced_at, held.bounce_reason = timezone.now(), why.strip()[:200]
        held.save(update_fields=["bounced_at", "bounce_reason"])
        note(actor=actor, verb="mark_bounced", subject=held, why=why)
    return held


def calendar_for(enrolment: Enrolment) -> str:
    """The school's days as a calendar file for this golfer; called off once cancelled."""
    host = urlsplit(settings.SITE_URL).hostname or "localhost"
    is_off = enrolment.state == Enrolment.State.CANCELLED
    return calendar_of(
        enrolment.school,
        key=f"enrolment-{enrolment.pk}@{host}",
        stamp=timezone.now(),
        sequence=int(is_off),
        cancelled=is_off,
    )


def deliver(pk: int) -> bool:
    """The worker's job: send the message if it is due and free; True if this call published it."""
    token = jobs.claim(Message, pk)
    if token is None:
        return False
    message = Message.objects.select_related("enrolment__school").get(pk=pk)
    if stale := _no_longer_wanted(message):
        return _park(message, token, stale)
    try:
        _hand_over(message)
    except Exception as error:  # the worker must outlive any one message
        return _note_trouble(message, token, error)
    return jobs.publish(Message, pk, token, reason="", **_forgotten(message))


def message_id(message: Message) -> str:
    """The number under which mail systems know the message: the same at every sending."""
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    return f"<{message.pk}.{message.queued_at.timestamp():.6f}@{domain}>"


def _words(kind: str, context: Mapping[str, object], enrolment: Enrolment | None) -> Words:
    values = {**(words_about(enrolment, kind) if enrolment else {}), **context}
    link = values.get("link")
    if isinstance(link, str) and link.startswith("/"):
        values["link"] = settings.SITE_URL + link
    if missing := [name for name in VARIABLES[kind] if name not in values]:
        log.error("A %s message was sent without %s.", kind, ", ".join(missing))
    try:
        return render_words(template_words(kind), values)
    except TemplateRefused:
        # Words edited past the admin must not stand between a golfer and a seat.
        log.exception("The template of %s cannot be used; the shipped one is.", kind)
        return render_words(shipped_words()[kind], values)


def _addresses(once_key: str, to: str, enrolment: Enrolment | None) -> dict[str, str]:
    """To whom the message goes, by the key of each row."""
    found = {once_key: to} if to else {}
    if enrolment and enrolment.golfer.is_minor_on(enrolment.school.starts_on):
        guardian = enrolment.golfer.guardian_email.lower()
        if guardian and guardian != to:
            found[f"{once_key}:guardian"] = guardian
    return found


def _insert(row: Message) -> Message | None:
    # Whoever inserts the same key at the same moment must not break this transaction.
    Message.objects.bulk_create([row], ignore_conflicts=True)
    mine = Message.objects.filter(once_key=row.once_key, queued_at=row.queued_at).first()
    if mine:
        jobs.wake_on_commit(mine)
    return mine


def _next_key(message: Message) -> str:
    base = message.once_key.partition("#")[0]
    copies = Message.objects.filter(once_key__startswith=f"{base}#").count()
    return f"{base}#{copies + 2}"


def _address_now(message: Message) -> str:
    """Where a copy goes: the golfer's e-mail may have been put right since."""
    if message.enrolment is None or message.once_key.partition("#")[0].endswith(":guardian"):
        return message.to
    return message.enrolment.golfer.email.lower() or message.to


def _no_longer_wanted(message: Message) -> str:
    enrolment = message.enrolment
    if message.kind == MessageKind.SIGN_IN_CODE:
        is_old = timezone.now() - message.queued_at > SignInCode.LIFE
        return "Not sent: the code no longer works." if is_old else ""
    if message.kind not in REMINDERS or enrolment is None:
        return ""
    if enrolment.state == Enrolment.State.CANCELLED:
        return "Not sent: the enrolment was cancelled meanwhile."
    if enrolment.school.state == School.State.CLOSED:
        return "Not sent: the school was closed meanwhile."
    return ""


def _hand_over(message: Message) -> None:
    mail = EmailMessage(
        subject=message.subject,
        body=message.body,
        to=[message.to],
        headers={"Message-ID": message_id(message), "Auto-Submitted": "auto-generated"},
    )
    if message.calendar:
        mail.attach("school.ics", message.calendar, "text/calendar")
    mail.send()


def _note_trouble(message: Message, token: UUID, error: Exception) -> bool:
    refusal = _refusal(error, message.to)
    if refusal:
        return _park(message, token, refusal)
    log.warning("Message %s could not be sent", message.pk, exc_info=error)
    reason = f"It could not be handed to the mail system: {_said(error)}"
    jobs.record_failure(Message, message.pk, token, reason=reason)
    return False


def _park(message: Message, token: UUID, reason: str) -> bool:
    jobs.park(Message, message.pk, token, reason=reason, **_forgotten(message))
    return False


def _forgotten(message: Message) -> dict[str, str]:
    """The columns that must not stay once a message is finished."""
    return {"body": NOT_KEPT} if message.kind in SECRET else {}


def _refusal(error: Exception, to: str) -> str:
    """The server's words if it refuses for good (a reply code from 500 on, RFC 5321), else ''.

    A refused sign-in is trouble with the house's own settings and is tried again.
    """
    reply = None if isinstance(error, SMTPAuthenticationError) else _reply(error)
    if reply is None or reply[0] < 500:
        return ""
    return f"The mail server refused the message to {to}: {reply[0]} {reply[1]}"


def _said(error: Exception) -> str:
    if reply := _reply(error):
        return f"{reply[0]} {reply[1]}"
    return str(error) or type(error).__name__


def _reply(error: Exception) -> tuple[int, str] | None:
    """What an SMTP server answered, if it was one that failed."""
    said: bytes | str
    if isinstance(error, SMTPRecipientsRefused):
        code, said = next(iter(error.recipients.values()))
    elif isinstance(error, SMTPResponseException):
        code, said = error.smtp_code, error.smtp_error
    else:
        return None
    return code, said.decode("utf-8", "replace") if isinstance(said, bytes) else said
