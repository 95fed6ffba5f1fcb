"""The bank's lines: kept once, and each matched to the enrolment it pays for or set aside."""

from __future__ import annotations

from collections.abc import Collection

from django.db import transaction

from school.actions.audit import note
from school.actions.money import enter_payment, enter_reversal
from school.actions.retry import in_a_fresh_transaction
from school.bank_csv import read_bank
from school.errors import BankLineRefused, ImportRefused
from school.models import Account, BankLine, Enrolment, LedgerEntry
from school.queries.bank import BankPlan, plan_bank_import, waiting_lines, worklist
from school.wording import count_of

MEMO_LENGTH = 200


def import_bank_lines(*, data: bytes | str, currency: str, actor: Account | None) -> BankPlan:
    """Keep every line of money that came in, or none; lines kept before are left as they are.

    The table is read and judged again here, whatever a dry run has said.

    Raises ImportRefused if the table cannot be read or any cell is in error.
    """
    sheet = read_bank(data, currency=currency)

    def body() -> BankPlan:
        plan = plan_bank_import(sheet)
        if plan.errors:
            wrong = count_of(len(plan.errors), "cell is", "cells are")
            raise ImportRefused(f"Nothing was imported: {wrong} in error.")
        kept = BankLine.objects.bulk_create(
            BankLine(
                booked_on=row.booked_on,
                amount=row.amount,
                currency=row.currency,
                text=row.text,
                fingerprint=row.fingerprint,
                imported_by=actor,
            )
            for row in plan.new
        )
        if kept:
            note(actor=actor, verb="import_bank_lines", subject=kept[0], lines=len(kept))
        return plan

    return in_a_fresh_transaction(body)


def match_line(*, line: BankLine, enrolment: Enrolment, actor: Account | None) -> LedgerEntry:
    """Record the line as a payment of the enrolment by transfer.

    Raises BankLineRefused if it is dealt with already, or in another currency than the school.
    """
    with transaction.atomic(durable=True):
        return _match(line, enrolment, actor)


def match_certain(
    *, shown: Collection[tuple[int, int]], actor: Account | None
) -> list[LedgerEntry]:
    """Match all of the pairs (line, enrolment) that were shown as certain and are so still.

    What somebody else has dealt with in the meantime, or what is no longer certain, is left.
    """
    with transaction.atomic(durable=True):
        works = [w for w in worklist(list(waiting_lines().select_for_update())) if w.certain]
        pairs = [(w.line, w.certain.candidate.pk) for w in works if w.certain]
        agreed = [(line, pk) for line, pk in pairs if (line.pk, pk) in shown]
        enrolments = Enrolment.objects.select_related("school").in_bulk([pk for _, pk in agreed])
        return [_match(line, enrolments[pk], actor) for line, pk in agreed]


def set_aside(*, line: BankLine, why: str, actor: Account | None) -> BankLine:
    """Say that the line belongs to no enrolment, and why.

    Raises BankLineRefused without a reason, or if it is dealt with already.
    """
    if not why.strip():
        raise BankLineRefused("Say why the line belongs to no enrolment.")
    with transaction.atomic(durable=True):
        held = _waiting(line)
        held.set_aside = why.strip()
        held.save(update_fields=["set_aside"])
        note(actor=actor, verb="set_aside", subject=held, why=held.set_aside)
    return held


def take_up_again(*, line: BankLine, why: str, actor: Account | None) -> BankLine:
    """Put a line back among the waiting ones; the payment it was matched to is reversed.

    Raises BankLineRefused without a reason, or if the line waits already.
    """
    if not why.strip():
        raise BankLineRefused("Say why the line is taken up again.")
    with transaction.atomic(durable=True):
        held = BankLine.objects.select_for_update().get(pk=line.pk)
        if held.entry_id is None and not held.set_aside:
            raise BankLineRefused("This line is waiting to be matched.")
        if held.entry_id is not None:
            entry = LedgerEntry.objects.select_related("enrolment").get(pk=held.entry_id)
            if not LedgerEntry.objects.filter(reverses=entry).exists():
                enter_reversal(entry, why, actor)
        held.entry, held.set_aside = None, ""
        held.save(update_fields=["entry", "set_aside"])
        note(actor=actor, verb="take_up_again", subject=held, why=why.strip())
    return held


def _match(line: BankLine, enrolment: Enrolment, actor: Account | None) -> LedgerEntry:
    held = _waiting(line)
    theirs = enrolment.school.currency
    if held.currency != theirs:
        raise BankLineRefused(
            f"The line is in {held.currency}, {enrolment.school} is sold in {theirs}. "
            "Set the line aside and record what the bank changed it into."
        )
    memo = f"Bank {held.booked_on:%-d %B %Y}: {held.text}"
    entry = enter_payment(
        enrolment, held.amount, LedgerEntry.Method.TRANSFER, actor, memo[:MEMO_LENGTH]
    )
    held.entry = entry
    held.save(update_fields=["entry"])
    note(actor=actor, verb="match_line", subject=held, entry=entry.pk, enrolment=enrolment.pk)
    return entry


def _waiting(line: BankLine) -> BankLine:
    """The line, locked. Raises BankLineRefused if somebody has dealt with it."""
    held = BankLine.objects.select_for_update().get(pk=line.pk)
    if held.entry_id is not None:
        raise BankLineRefused("This line is matched already.")
    if held.set_aside:
        raise BankLineRefused(f"This line was set aside: {held.set_aside}")
    return held
