"""What is stored in SI units as a golfer reads it."""

import pytest

from assessments.stations.base import MeasureKind, MeasureValue
from assessments.stations.readings import reading
from assessments.units import Units, in_units, measures_in, units_of
from tests.factories import GolferFactory

YARDS, METRES = Units("yd", "mph"), Units("m", "m/s")
CARRY = MeasureKind("carry_m", "carry", "m", 0, is_long=True)
CHIP = MeasureKind("proximity_chip_m", "chip", "m", 2)
AREA = MeasureKind("dispersion_area_m2", "area", "m2", 0, is_long=True)
SPEED = MeasureKind("ball_speed_mps", "ball speed", "m/s", 1)
ANGLE = MeasureKind("launch_deg", "launch", "deg", 1)


def value(kind: MeasureKind, number: float) -> MeasureValue:
    ends = number - number / 10, number + number / 10
    return MeasureValue(kind.name, number, kind.unit, number / 20, *ends, "five shots")


@pytest.mark.parametrize(
    ("kind", "number", "read"),
    [
        (CARRY, 137.16, "150 ± 15 yd"),
        (CHIP, 1.2192, "4.0 ± 0.4 ft"),
        (AREA, 836.12736, "1000 ± 100 yd²"),
        (SPEED, 44.704, "100.0 ± 10.0 mph"),
        (ANGLE, 15.0, "15.0 ± 1.5°"),
    ],
)
def test_who_reads_yards_reads_short_distances_in_feet(
    kind: MeasureKind, number: float, read: str
) -> None:
    assert reading(kind, value(kind, number), units=YARDS).text == read


@pytest.mark.parametrize("kind", [CARRY, CHIP, AREA, SPEED, ANGLE])
def test_who_reads_si_units_reads_what_is_stored(kind: MeasureKind) -> None:
    assert in_units(kind, value(kind, 12.0), METRES) == (kind, value(kind, 12.0))


def test_a_value_of_which_nothing_is_known_stays_so() -> None:
    single = MeasureValue("carry_m", 91.44, "m", None, None, None, "one shot")
    _, read = in_units(CARRY, single, YARDS)
    assert (read.value, read.unit, read.low, read.standard_uncertainty) == (100, "yd", None, None)


def test_only_what_was_measured_is_turned() -> None:
    found = measures_in([CARRY, CHIP], {"carry_m": value(CARRY, 91.44)}, YARDS)
    assert {name: one.value for name, one in found.items()} == {"carry_m": pytest.approx(100)}


@pytest.mark.django_db
def test_the_units_are_the_golfers() -> None:
    assert units_of(GolferFactory.create()) == YARDS
    assert units_of(GolferFactory.create(distances_in="m", speeds_in="m/s")) == METRES
