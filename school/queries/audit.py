"""The trail, read: who did what to whom, filtered, in sentences."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.db.models import CharField, F, Model, Q, QuerySet, UUIDField, Value
from django.db.models.functions import Cast, Concat, Replace
from django.urls import reverse

from school.audit_words import sentence
from school.models import Account, AuditEntry, Enrolment, Golfer, School
from school.queries.days import house_zone
from school.wording import format_money

PAGE = 50
FEW = 12
AMOUNTS = {"amount", "kept"}
PAGES_OF_ONE = {Enrolment: "enrolment", School: "school", Golfer: "golfer"}


@dataclass(frozen=True)
class TrailFilter:
    """What is asked for; everything empty is everything. Days are the house's, both included."""

    actor: Account | None = None
    school: School | None = None
    golfer: Golfer | None = None
    verb: str = ""
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True)
class TrailLine:
    """`words` follow the name in `who`; `url` leads to the row, if it has a page; `at` is in the
    house's time zone."""

    entry: AuditEntry
    at: datetime
    who: str
    words: str
    url: str


@dataclass(frozen=True)
class Trail:
    lines: tuple[TrailLine, ...]
    page: Page[AuditEntry]


def trail(wanted: TrailFilter, number: int | str = 1) -> Trail:
    """One page of the trail, the latest first. Two queries, and one for each kind of row named."""
    page = Paginator(_matching(wanted), PAGE).get_page(number)
    return Trail(_lines(list(page.object_list)), page)


def latest(wanted: TrailFilter) -> tuple[TrailLine, ...]:
    """The last few lines. One query, and one for each kind of row named."""
    return _lines(list(_matching(wanted)[:FEW]))


def verbs_used() -> list[str]:
    """Every verb in the trail, by name. One query."""
    return list(AuditEntry.objects.order_by("verb").values_list("verb", flat=True).distinct())


def actors() -> QuerySet[Account]:
    """Everybody who has left a trail, by name."""
    return Account.objects.filter(pk__in=AuditEntry.objects.order_by().values("actor")).order_by(
        "full_name", "pk"
    )


def _matching(wanted: TrailFilter) -> QuerySet[AuditEntry]:
    rows = AuditEntry.objects.select_related("actor")
    if wanted.actor:
        rows = rows.filter(actor=wanted.actor)
    if wanted.verb:
        rows = rows.filter(verb=wanted.verb)
    if wanted.since:
        rows = rows.filter(at__gte=_midnight(wanted.since))
    if wanted.until:
        rows = rows.filter(at__lt=_midnight(wanted.until + timedelta(days=1)))
    if wanted.school:
        rows = _about(rows, School, wanted.school.pk)
    if wanted.golfer:
        rows = _about(rows, Golfer, wanted.golfer.pk)
    return rows


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time.min, tzinfo=house_zone())


def _about(rows: QuerySet[AuditEntry], owner: type[Model], pk: int) -> QuerySet[AuditEntry]:
    """The entries whose subject is the owner, or a row of any app that belongs to it."""
    named = Q()
    for model in apps.get_models():
        path = _path(model, owner)
        if path:
            named |= _subjects(model, model._default_manager.filter(**{path: pk}))
    # A golfer's trail goes on with those who were merged into them.
    if owner is Golfer:
        named |= _subjects(Golfer, Golfer.objects.filter(merged_into=pk))
    return rows.annotate(plain=Replace("subject", Value("-"), Value(""))).filter(named)


def _path(model: type[Model], owner: type[Model]) -> str:
    """How to come from a row of `model` to the owner it belongs to; empty if it belongs to none."""
    if model is owner:
        return "pk"
    own = {field.name: field.related_model for field in model._meta.fields if field.is_relation}
    name = owner._meta.model_name or ""
    if own.get(name) is owner:
        return name
    return f"enrolment__{name}" if own.get("enrolment") is Enrolment else ""


def _subjects(model: type[Model], rows: QuerySet[Any]) -> Q:
    """The subjects of these rows, as the trail writes them."""
    key = Cast(F("pk"), CharField())
    label = Value(f"{model._meta.label_lower} ")
    if isinstance(model._meta.pk, UUIDField):
        # PostgreSQL writes the dashes of such a key, SQLite keeps it without.
        plain = Concat(label, Replace(key, Value("-"), Value("")))
        return Q(plain__in=rows.order_by().values_list(plain, flat=True))
    return Q(subject__in=rows.order_by().values_list(Concat(label, key), flat=True))


def _lines(entries: list[AuditEntry]) -> tuple[TrailLine, ...]:
    rows = _rows_named(entry.subject for entry in entries)
    return tuple(_line(entry, rows.get(entry.subject)) for entry in entries)


def _line(entry: AuditEntry, row: Model | None) -> TrailLine:
    label, _, key = entry.subject.partition(" ")
    name = str(row) if row is not None else f"{_kind(label)} {key}, since deleted"
    page = PAGES_OF_ONE.get(type(row)) if row is not None else None
    return TrailLine(
        entry=entry,
        at=entry.at.astimezone(house_zone()),
        who=str(entry.actor or "Marram"),
        words=sentence(entry.verb, name, _with_money(entry, row), _attendee(row)),
        url=reverse(page, args=[row.pk]) if page and row else "",
    )


def _attendee(row: Model | None) -> str:
    return str(getattr(row, "enrolment", None) or "")


def _with_money(entry: AuditEntry, row: Model | None) -> dict[str, Any]:
    """What was noted, its amounts in the currency of the school that the row belongs to."""
    place = getattr(row, "enrolment", row)
    currency = getattr(getattr(place, "school", None), "currency", "")
    detail: dict[str, Any] = dict(entry.detail)
    if currency:
        for name in AMOUNTS & detail.keys():
            detail[name] = format_money(Decimal(detail[name]), currency)
        if "carried" in detail:
            detail["carried"] = {
                method: format_money(Decimal(amount), currency)
                for method, amount in detail["carried"].items()
            }
    return detail


def _rows_named(subjects: Iterable[str]) -> dict[str, Model]:
    """The rows that still exist, by subject; one query for each kind."""
    keys: defaultdict[str, set[str]] = defaultdict(set)
    for subject in subjects:
        label, _, key = subject.partition(" ")
        keys[label].add(key)
    found: dict[str, Model] = {}
    for label, wanted in keys.items():
        try:
            model = apps.get_model(label)
            rows = model._default_manager.select_related().in_bulk(wanted)
        except (LookupError, ValueError, ValidationError):
            continue  # a model that is gone since
        found.update({f"{label} {row.pk}": row for row in rows.values()})
    return found


def _kind(label: str) -> str:
    return label.partition(".")[2]
