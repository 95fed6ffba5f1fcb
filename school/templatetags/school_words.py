"""Filters that set amounts and handicaps the way every page does."""

from django import template

from school.wording import count_of, format_balance, format_handicap, format_money

register = template.Library()

register.filter("money", format_money)
register.filter("balance", format_balance)
register.filter("handicap", format_handicap)
register.filter("count_of", count_of)
