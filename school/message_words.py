"""The words of messages: what a template may say, and how it becomes a subject and a body.

A template is plain text with words in double braces and Django's date and time filters, nothing
else: `{{ first_day|date:"j F" }}`. Whoever edits one sees at once whether it can be sent, since
there is no branch that an example would not take.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template import Context, Engine, Library, Template, TemplateSyntaxError, defaultfilters
from django.template.base import FilterExpression, TextNode, Variable, VariableNode

from school.errors import TemplateRefused
from school.models import MessageKind

SHIPPED = Path(settings.BASE_DIR) / "fixtures" / "messages.json"
SUBJECT_LENGTH = 200

TIMETABLE = ("golfer", "school", "first_day", "last_day", "sessions", "link")
COMMON = ("golfer", "school", "first_day", "last_day", "opens_at", "venue", "my_page")
# What a template of each kind may name. COMMON, to_pay, balance, balance_due_on, included,
# to_bring and offer_ends are filled in from the enrolment; the rest is the sender's to give.
VARIABLES: dict[str, tuple[str, ...]] = {
    MessageKind.CONFIRMATION: (*COMMON, "to_pay", "included", "to_bring"),
    MessageKind.WAITING: COMMON,
    MessageKind.OFFER: (*COMMON, "link", "offer_ends"),
    MessageKind.CANCELLED: (*COMMON, "refund"),
    MessageKind.RESUME: ("golfer", "school", "link"),
    MessageKind.SIGN_IN_CODE: ("golfer", "code", "minutes"),
    MessageKind.BALANCE_DUE: (*COMMON, "balance", "balance_due_on"),
    MessageKind.CONSENT_MISSING: (*COMMON, "consents"),
    MessageKind.WHAT_TO_BRING: (*COMMON, "to_bring"),
    MessageKind.DAY_BEFORE: COMMON,
    MessageKind.RECEIPT: (*COMMON, "amount", "method", "balance", "link"),
    MessageKind.REPORT_READY: (*COMMON, "link", "link_ends"),
    # These two go to instructors as well, whose names stand for the golfer's.
    MessageKind.TIMETABLE_READY: TIMETABLE,
    MessageKind.TIMETABLE_CHANGED: TIMETABLE,
}

_SITE = settings.SITE_URL
SAMPLE: dict[str, object] = {
    "golfer": "Łukasz Example",
    "school": "Spring short-game school",
    "first_day": date(2027, 5, 7),
    "last_day": date(2027, 5, 9),
    "opens_at": time(9, 0),
    "venue": "The practice ground",
    "my_page": f"{_SITE}/mine/",
    "to_pay": "£240.00 deposit, due at once\n£720.00 due by 9 April 2027",
    "balance": "£720.00",
    "balance_due_on": date(2027, 4, 9),
    "included": "Three days of teaching\nLunch on each day",
    "to_bring": "Your clubs\nShoes with a soft sole",
    "link": f"{_SITE}/a-link-of-their-own/",
    "link_ends": date(2027, 8, 7),
    "offer_ends": datetime(2027, 4, 20, 18, 0, tzinfo=ZoneInfo("Europe/London")),
    "refund": "£480.00 of the £960.00 paid is given back.",
    "code": "402913",
    "minutes": 10,
    "consents": "consent to “terms of the school”, consent to “assumption of risk”",
    "amount": "£240.00",
    "method": "bank transfer",
    "sessions": "Fri 09:00 to 09:45: Putting, Green 1, Ida Example",
}


@dataclass(frozen=True)
class Words:
    """What is sent. A subject is one line."""

    subject: str
    body: str


@cache
def shipped_words() -> dict[str, Words]:
    """The templates that come with the house, by kind; they stand in for a missing row."""
    rows = json.loads(SHIPPED.read_text())
    return {
        row["fields"]["kind"]: Words(row["fields"]["subject"], row["fields"]["body"])
        for row in rows
    }


def render_words(template: Words, values: Mapping[str, object]) -> Words:
    """The template with `values` in it. A value that is not there leaves a gap.

    Raises
    ------
    TemplateRefused
        If the template is not written as this module says.
    """
    subject = " ".join(_render(template.subject, values).split())[:SUBJECT_LENGTH]
    return Words(subject, _render(template.body, values).strip() + "\n")


def refuse_bad_words(kind: str, source: str) -> None:
    """Refuse a template of this kind that could not be sent, or names what is not known.

    Raises
    ------
    TemplateRefused
        With every fault in words.
    """
    known = VARIABLES[kind]
    template = _compile(source)
    unknown = dict.fromkeys(name for name in _names(template) if name not in known)
    if unknown:
        named = ", ".join(f"{{{{ {name} }}}}" for name in unknown)
        raise TemplateRefused(
            f"Not known in this message: {named}. Known are {', '.join(sorted(known))}."
        )
    _render(source, SAMPLE)
    context = Context(SAMPLE, autoescape=False, use_tz=False)
    for node in template.nodelist:
        if isinstance(node, VariableNode) and not node.render(context).strip():
            raise TemplateRefused(f"{{{{ {node.filter_expression} }}}} would come out empty.")


def sample_of(kind: str, template: Words) -> Words:
    """The message as it would look with invented values. Raises TemplateRefused."""
    return render_words(template, {name: SAMPLE[name] for name in VARIABLES[kind]})


def _render(source: str, values: Mapping[str, object]) -> str:
    # Plain text is not escaped, and times come in the school's zone and stay there.
    context = Context(dict(values), autoescape=False, use_tz=False)
    try:
        return str(_compile(source).render(context))
    except TemplateRefused:
        raise
    except Exception as error:  # a filter may trip over a value in ways of its own
        said = str(error).rstrip(".")
        raise TemplateRefused(f"The words cannot be filled in: {said}.") from error


def _compile(source: str) -> Template:
    try:
        template = Template(source, engine=_engine())
    except TemplateSyntaxError as error:
        raise TemplateRefused(_in_words(str(error), source)) from error
    for node in template.nodelist:
        if not isinstance(node, TextNode | VariableNode):
            raise TemplateRefused("Only words in double braces can be filled in.")
    if "{{" in "".join(node.s for node in template.nodelist if isinstance(node, TextNode)):
        raise TemplateRefused("A {{ is never closed by }} on the same line.")
    return template


@cache
def _engine() -> Engine:
    allowed = Library()
    allowed.filter("date", defaultfilters.date)
    allowed.filter("time", defaultfilters.time)
    engine = Engine(autoescape=False)
    engine.template_builtins = [allowed]
    return engine


def _in_words(said: str, source: str) -> str:
    if "{%" in source:
        return "{% … %} cannot be used here; only words in double braces, like {{ golfer }}."
    if said.startswith("Invalid filter"):
        return f"{said.replace('Invalid filter', 'There is no filter')}; only date and time are."
    if said.startswith("Empty variable tag"):
        return "There are double braces with no word between them."
    return f"What stands in double braces cannot be read. {said}"


def _names(template: Template) -> Iterator[str]:
    for node in template.nodelist:
        if isinstance(node, VariableNode):
            expression: FilterExpression = node.filter_expression
            yield from _variable(expression.var)
            for _, arguments in expression.filters:
                for is_looked_up, argument in arguments:
                    if is_looked_up:
                        yield from _variable(argument)


def _variable(part: Any) -> Iterator[str]:
    """The name a part of an expression looks up; nothing for a quoted text or a number."""
    if isinstance(part, Variable) and part.lookups is not None:
        yield str(part.var)
