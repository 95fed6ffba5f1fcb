"""What ball flight by an instrument's table is about in a small house."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from assessments.flight_csv import SAMPLE
from assessments.models import Instrument
from lessons.models import Session
from school.models import Enrolment
from tests.assessments.instruments import InstrumentFactory

COLUMNS = {
    "column_club": "Club",
    "column_carry_m": "Carry (m)",
    "unit_carry_m": "m",
    "side_sign": "1",
}


@dataclass(frozen=True)
class Flight:
    """A session where ball flight is recorded, and an instrument."""

    session: Session
    instrument: Instrument


def build_flight(session: Session) -> Flight:
    return Flight(session, InstrumentFactory.create())


def flight_addresses(flight: Flight, attendee: Enrolment) -> dict[str, list[Any]]:
    return {
        "flight_table": [flight.session.pk, attendee.pk, "ball_flight"],
        "instrument": [flight.instrument.pk],
    }


def flight_writes() -> dict[str, dict[str, Any]]:
    keeping = {"do": "keep", "instrument_name": "Box in bay 2"}
    return {
        "flight_table": {**COLUMNS, **keeping, "table": SAMPLE},
        "instrument": {**COLUMNS, "name": "Box in bay 3"},
    }
