"""Filters that set amounts and handicaps the way every page does."""

from decimal import Decimal

from django import template

from school.bank_csv import payment_reference
from school.wording import count_of, format_balance, format_handicap, format_money

register = template.Library()

register.filter("money", format_money)
register.filter("balance", format_balance)
register.filter("handicap", format_handicap)
register.filter("count_of", count_of)
register.filter("reference", payment_reference)


@register.filter
def received(amount: Decimal, currency: str) -> str:
    """An entry's amount as who took it sees it: a payment, kept below zero, is above."""
    return format_money(-amount, currency)
