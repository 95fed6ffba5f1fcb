"""From the rows of an instrument's table to payloads of ball flight, one a club.

Each shot is judged by the station itself; what it refuses stays out and keeps its words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assessments.errors import EntryRefused
from assessments.flight_csv import COLUMNS, UNITS, Column, Reading, ShotRow, ShotSheet
from assessments.flight_csv.columns import DISTANCE, SPEED
from assessments.stations.ball_flight_form import club_payload
from assessments.stations.ball_flight_shots import MOST_SHOTS, shots_of
from assessments.stations.base import Payload

# What the station shows again; a table in feet or kilometres an hour is shown in SI units.
SHOWN_IN = {DISTANCE: ("yd", "m"), SPEED: ("mph", "m/s")}


@dataclass(frozen=True)
class JudgedShot:
    """A row of the table: a text for each title, and what is wrong with it, if anything."""

    number: int
    cells: tuple[tuple[str, str], ...]
    words: tuple[str, ...]


@dataclass(frozen=True)
class ClubShots:
    """The shots with one club. `payloads` are what would be recorded: more than one if there are
    more shots than an entry takes."""

    club: str
    shots: tuple[JudgedShot, ...]
    payloads: tuple[Payload, ...]

    @property
    def good(self) -> int:
        return sum(len(payload["shots"]) for payload in self.payloads)

    @property
    def titles(self) -> list[str]:
        return [title for title, _ in self.shots[0].cells] if self.shots else []


def clubs_in(sheet: ShotSheet) -> list[str]:
    """The clubs of the table as they are written, in their order; one without a name is “”."""
    return list(dict.fromkeys(row.club for row in sheet.rows))


def shots_by_club(sheet: ShotSheet, reading: Reading, codes: Mapping[str, str]) -> list[ClubShots]:
    """The shots with each club that has a code, or a class; clubs with neither are left out."""
    entered = _entered_in(reading)
    shown = [column for column in COLUMNS if any(column.key in row.values for row in sheet.rows)]
    return [
        _with_club(club, [row for row in sheet.rows if row.club == club], start, shown)
        for club in clubs_in(sheet)
        if codes.get(club) and (start := {**club_payload(codes[club]), "entered_in": entered})
    ]


def _with_club(club: str, rows: list[ShotRow], start: Payload, shown: list[Column]) -> ClubShots:
    """The shots of these rows; `start` is what their payload says beside them."""
    judged = [(row, row.words or _faults({**start, "shots": [row.values]})) for row in rows]
    good = [row.values for row, words in judged if not words]
    return ClubShots(
        club,
        tuple(JudgedShot(row.number, _cells(row, start, shown), words) for row, words in judged),
        tuple(
            {**start, "shots": good[at : at + MOST_SHOTS]} for at in range(0, len(good), MOST_SHOTS)
        ),
    )


def _faults(payload: Payload) -> tuple[str, ...]:
    """What the station says against the one shot of the payload."""
    try:
        shots_of(payload)
    except EntryRefused as refused:
        return tuple(words.removeprefix("Shot 1: ") for words in refused.words.values())
    return ()


def _entered_in(reading: Reading) -> dict[str, str]:
    """The units in which the station shows again what was read."""
    found = {}
    for dimension, units in SHOWN_IN.items():
        written = [
            reading.units[column.key]
            for column in COLUMNS
            if column.dimension == dimension and column.key in reading.columns
        ]
        found[dimension] = next((unit for unit in written if unit in units), units[-1])
    return found


def _cells(row: ShotRow, payload: Payload, shown: list[Column]) -> tuple[tuple[str, str], ...]:
    return tuple(
        _cell(row.values.get(column.key), column, payload["entered_in"]) for column in shown
    )


def _cell(value: float | None, column: Column, entered: dict[str, str]) -> tuple[str, str]:
    unit = next(
        unit
        for unit in UNITS.values()
        if unit.dimension == column.dimension and unit.key == entered.get(unit.dimension, unit.key)
    )
    title = f"{column.title.capitalize()},\N{NO-BREAK SPACE}{unit.key}"
    if value is None:
        return title, "not read"
    return title, f"{round(value / unit.factor, 1):,g}".replace("-", "−")
