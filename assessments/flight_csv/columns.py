"""What is read of a shot, the headings it goes by, and the units it may be written in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assessments.statistics.sizes import SIZES
from school.folding import fold

DISTANCE, SPEED, ANGLE, SPIN = "distance", "speed", "angle", "spin"


@dataclass(frozen=True)
class Unit:
    """`factor` turns a number in this unit into the SI unit of its dimension."""

    key: str
    title: str
    dimension: str
    also: tuple[str, ...]

    @property
    def factor(self) -> float:
        return SIZES[self.key]


UNITS = {
    unit.key: unit
    for unit in (
        Unit("yd", "yards", DISTANCE, ("yd", "yds", "yard", "yards", "y")),
        Unit("m", "metres", DISTANCE, ("m", "metre", "metres", "meter", "meters")),
        Unit("ft", "feet", DISTANCE, ("ft", "foot", "feet")),
        Unit(
            "mph",
            "miles an hour",
            SPEED,
            ("mph", "mi h", "miles an hour", "miles per hour", "m p h"),
        ),
        Unit(
            "m/s",
            "metres a second",
            SPEED,
            ("m s", "mps", "metres a second", "metres per second", "meters per second"),
        ),
        Unit(
            "km/h",
            "kilometres an hour",
            SPEED,
            ("km h", "kmh", "kph", "kilometres an hour", "kilometers per hour"),
        ),
        Unit("°", "degrees", ANGLE, ("deg", "degree", "degrees")),
        Unit(
            "rpm",
            "turns a minute",
            SPIN,
            ("rpm", "rev min", "1 min", "turns a minute", "revolutions per minute"),
        ),
    )
}
_BY_SPELLING = {spelling: unit for unit in UNITS.values() for spelling in unit.also}
_LONGEST_UNIT = max(len(spelling.split()) for spelling in _BY_SPELLING)


@dataclass(frozen=True)
class Column:
    """`key` is the place of the quantity in a shot; of several headings the first named wins.

    What is `sideways` counts + to the right and may be written with letters instead.
    """

    key: str
    title: str
    dimension: str
    also: tuple[str, ...]
    sideways: bool = False


CARRY = Column(
    "carry_m", "carry", DISTANCE, ("carry distance", "carry dist", "carry length", "distance carry")
)
CLUB = Column("club", "club", "", ("club name", "club used", "club type", "name of club"))
COLUMNS = (
    CARRY,
    Column(
        "side_m",
        "side",
        DISTANCE,
        (
            *("carry side", "side carry", "side distance", "offline", "carry offline"),
            *("distance offline", "off line", "lateral", "lateral distance", "deviation"),
        ),
        sideways=True,
    ),
    Column("ball_speed_mps", "ball speed", SPEED, ("ball velocity", "speed of ball")),
    Column(
        "club_speed_mps",
        "club speed",
        SPEED,
        ("club head speed", "clubhead speed", "head speed", "swing speed", "speed of club"),
    ),
    Column(
        "launch_deg",
        "launch angle",
        ANGLE,
        ("launch", "vertical launch", "vertical launch angle", "launch angle vertical"),
    ),
    Column("attack_angle_deg", "attack angle", ANGLE, ("angle of attack", "attack", "aoa")),
    Column(
        "club_path_deg",
        "club path",
        ANGLE,
        ("path", "swing path", "path angle", "club path angle"),
        sideways=True,
    ),
    Column(
        "face_angle_deg",
        "face angle",
        ANGLE,
        ("face", "club face", "club face angle", "face to target"),
        sideways=True,
    ),
    Column("spin_rpm", "spin rate", SPIN, ("spin", "total spin", "spin total")),
)

_BY_HEADING = {
    name: (column, rank)
    for column in (*COLUMNS, CLUB)
    for rank, name in enumerate((column.title, *column.also))
}


def units_of(column: Column) -> list[Unit]:
    """What the column may be written in."""
    return [unit for unit in UNITS.values() if unit.dimension == column.dimension]


def folded(text: str) -> str:
    """Words without case, accents and punctuation; the sign of a degree is the word “deg”."""
    words = fold(text.replace("°", " deg ").replace("º", " deg "))
    return " ".join("".join(each if each.isalnum() else " " for each in words).split())


def unit_called(text: str) -> Unit | None:
    """The unit that a cell or the end of a heading names: “(yds)”, “m/s”, “°”."""
    return _BY_SPELLING.get(folded(text))


def taken_apart(heading: str) -> tuple[str, Unit | None]:
    """The words of a heading and the unit at its end: “Ball Speed [mph]” is “ball speed”, mph."""
    words = folded(heading).split()
    for count in range(min(_LONGEST_UNIT, len(words) - 1), 0, -1):
        unit = _BY_SPELLING.get(" ".join(words[-count:]))
        if unit is not None:
            return " ".join(words[:-count]), unit
    return " ".join(words), None


def column_called(heading: str) -> tuple[Column, int] | None:
    """The column that a heading means, with a unit behind it or without, and its rank."""
    words, unit = taken_apart(heading)
    found = _BY_HEADING.get(words) or _BY_HEADING.get(folded(heading))
    if found is None or (unit is not None and unit.dimension != found[0].dimension):
        return None
    return found


def count_known(headings: Iterable[str], saved: frozenset[str]) -> int:
    """How many cells are headings, by trade words or as an instrument has them."""
    return sum(column_called(each) is not None or folded(each) in saved for each in headings)
