"""Keeping how an instrument writes its table."""

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from assessments.actions.instruments import save_instrument
from assessments.models import Instrument
from school.models import Account, AuditEntry
from tests.assessments.instruments import InstrumentFactory

pytestmark = pytest.mark.django_db


def kept(actor: Account, **changed: Any) -> Instrument:
    given: dict[str, Any] = {
        "name": "Box in bay 2",
        "columns": {"carry_m": "Carry", "club": "Club"},
        "units": {"carry_m": "yd"},
        "side_sign": -1,
    }
    return save_instrument(actor=actor, **{**given, **changed})


def test_an_instrument_is_set_up(instructor: Account) -> None:
    row = kept(instructor)
    assert (row.columns["club"], row.units["carry_m"], row.side_sign) == ("Club", "yd", -1)
    assert (row.saved_by, AuditEntry.objects.get().verb) == (instructor, "add_instrument")


def test_a_change_names_what_was_changed(instructor: Account) -> None:
    row = kept(instructor)
    kept(instructor, instrument=row, side_sign=1)
    assert AuditEntry.objects.get(verb="change_instrument").detail["fields"] == ["side_sign"]
    row.refresh_from_db()
    assert row.side_sign == 1


def test_keeping_the_same_again_writes_nothing(instructor: Account) -> None:
    row = kept(instructor)
    saved_at = row.saved_at
    kept(instructor, instrument=row)
    row.refresh_from_db()
    assert row.saved_at == saved_at
    assert AuditEntry.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "place", "words"),
    [
        ({"columns": {"club": "Club"}}, "columns", "which column is the carry"),
        ({"columns": {"carry_m": "Carry", "wind": "W"}}, "columns", "what wind is"),
        ({"units": {"carry_m": "mph"}}, "units", "what the carry is written in"),
        ({"units": {}}, "units", "what the carry is written in"),
        ({"name": "box IN bay 1"}, "__all__", "of this name already"),
        ({"name": " "}, "name", "cannot be blank"),
    ],
)
def test_what_cannot_be_an_instrument_says_why(
    instructor: Account, changed: dict[str, Any], place: str, words: str
) -> None:
    InstrumentFactory.create(name="Box in bay 1")
    with pytest.raises(ValidationError) as refused:
        kept(instructor, **changed)
    assert words in str(refused.value.error_dict[place])
    assert Instrument.objects.count() == 1


@pytest.mark.parametrize("columns", [{"name": "INSTRUMENT A"}, {"side_sign": 0}])
def test_the_database_refuses_it_too(columns: dict[str, Any]) -> None:
    InstrumentFactory.create(name="Instrument a")
    with pytest.raises(IntegrityError), transaction.atomic():
        InstrumentFactory.create(**columns)
