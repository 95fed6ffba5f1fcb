"""The form in which shots are typed: five to see, twenty-five more folded away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from assessments.clubs import CLUBS, club_of
from assessments.models import ClubClass
from assessments.stations.ball_flight_shots import (
    BALL_SPEED,
    CARRY,
    MOST_SHOTS,
    QUANTITIES,
    RARE,
    as_typed,
)
from assessments.stations.base import Payload, StationForm
from assessments.stations.fields import has_value, number_field
from assessments.statistics.sizes import SIZES
from assessments.units import units_of
from school.models import Enrolment
from school.models.people import DistanceUnit, SpeedUnit

ROWS_A_BLOCK = 5


def club_choices() -> list[Any]:
    """Clubs by class; last in each the class alone, for a club of which no more is known."""
    choices: list[Any] = [("", "Which club?")]
    for club_class in ClubClass:
        clubs = [
            (club.code, club.title) for club in CLUBS.values() if club.club_class == club_class
        ]
        if club_class not in CLUBS:
            clubs.append((club_class.value, f"{club_class.label}, not said which"))
        choices.append((club_class.label.capitalize(), clubs))
    return choices


@dataclass(frozen=True)
class Cell:
    title: str
    field: BoundField
    is_rare: bool


@dataclass(frozen=True)
class ShotRow:
    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Block:
    """A few rows below each other; unfolded if something is in one of them."""

    rows: tuple[ShotRow, ...]

    @property
    def title(self) -> str:
        return f"Shots {self.rows[0].number} to {self.rows[-1].number}"

    @property
    def is_open(self) -> bool:
        return any(has_value(cell.field) for row in self.rows for cell in row.cells)


class BallFlightForm(StationForm):
    club = forms.ChoiceField(label="Club", choices=club_choices)
    distance_unit = forms.ChoiceField(label="Distances in", choices=DistanceUnit.choices)
    speed_unit = forms.ChoiceField(label="Speeds in", choices=SpeedUnit.choices)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number in range(1, MOST_SHOTS + 1):
            for quantity in QUANTITIES:
                label = f"{quantity.title} of shot {number}"
                self.fields[f"{quantity.name}_{number}"] = number_field(
                    label, is_signed=quantity.low < 0
                )

    def blocks(self) -> list[Block]:
        rows = [
            ShotRow(
                number,
                tuple(Cell(q.title, self[f"{q.name}_{number}"], q in RARE) for q in QUANTITIES),
            )
            for number in range(1, MOST_SHOTS + 1)
        ]
        return [
            Block(tuple(rows[first : first + ROWS_A_BLOCK]))
            for first in range(0, MOST_SHOTS, ROWS_A_BLOCK)
        ]

    def has_rare(self) -> bool:
        """Whether something is in a field that only some instruments fill."""
        return any(
            has_value(self[f"{quantity.name}_{number}"])
            for quantity in RARE
            for number in range(1, MOST_SHOTS + 1)
        )

    def payload(self) -> Payload:
        typed = self.cleaned_data
        payload = club_payload(typed["club"])
        payload["entered_in"] = {"distance": typed["distance_unit"], "speed": typed["speed_unit"]}
        payload["shots"] = [
            {
                quantity.key: round(value * SIZES[quantity.unit(payload)], 4)
                for quantity in QUANTITIES
                if (value := typed[f"{quantity.name}_{number}"]) is not None
            }
            for number in self._filled()
        ]
        return payload

    def _filled(self) -> list[int]:
        return [
            number
            for number in range(1, MOST_SHOTS + 1)
            if any(self.cleaned_data.get(f"{q.name}_{number}") is not None for q in QUANTITIES)
        ]

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        found: dict[str, Any] = {
            "club": club_of(payload),
            "distance_unit": CARRY.unit(payload),
            "speed_unit": BALL_SPEED.unit(payload),
        }
        for number, shot in enumerate(as_typed(payload), 1):
            for quantity, value in zip(QUANTITIES, shot, strict=True):
                found[f"{quantity.name}_{number}"] = value
        return found

    def field_for(self, place: str) -> str | None:
        """Places are those of the payload, `shots.0.carry`, where empty rows are left out."""
        match place.split("."):
            case ["shots", index, name]:
                return f"{name}_{self._filled()[int(index)]}"
        return super().field_for(place)


def club_payload(chosen: str) -> Payload:
    """What a payload says of a club chosen by code, or by its class alone."""
    if chosen in CLUBS:
        return {"club": chosen, "club_class": CLUBS[chosen].club_class.value}
    return {"club_class": chosen}


def initial_for(enrolment: Enrolment) -> dict[str, Any]:
    """The golfer's own units."""
    units = units_of(enrolment.golfer)
    return {"distance_unit": units.distance, "speed_unit": units.speed}
