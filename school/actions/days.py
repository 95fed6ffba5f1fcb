"""Closing a day: what was taken is written down as it stands."""

from __future__ import annotations

from datetime import date

from django.db import IntegrityError, transaction

from school.actions.audit import note
from school.errors import DayRefused
from school.models import Account, DayClose
from school.queries.days import entries_of, house_today, totals_of


def close_day(*, day: date, currency: str, actor: Account | None) -> DayClose:
    """Write down the day's net takings by method, once for each currency.

    What is entered on that day afterwards stays in the ledger and shows as after closing.

    Raises DayRefused for a day that has not begun, or is closed already.
    """
    if day > house_today():
        raise DayRefused("This day has not begun.")
    try:
        with transaction.atomic(durable=True):
            totals = {m.method: f"{m.net:.2f}" for m in totals_of(entries_of(day, currency))}
            close = DayClose.objects.create(
                day=day, currency=currency, totals=totals, closed_by=actor
            )
            note(actor=actor, verb="close_day", subject=close, day=f"{day}", totals=totals)
    except IntegrityError:
        raise DayRefused("This day is closed already.") from None
    return close
