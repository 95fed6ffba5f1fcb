"""Reading the table of shots that a launch monitor lets one download. Pure.

`read_table` takes whatever the table was written with: any of four separators, the usual
encodings, lines above the headings, a row of units below them. `guessed` says which column is
which as far as the headings tell in plain trade words; a person may say otherwise, and that is
kept as an instrument. `read_shots` turns the rows into shots in SI units. What could be read two
ways is refused with words, never chosen, and what is left out is said. Whether a shot can be right
is for the station to judge.
"""

from assessments.flight_csv.cells import club_called
from assessments.flight_csv.columns import CARRY, CLUB, COLUMNS, UNITS, Column, units_of
from assessments.flight_csv.shots import (
    Reading,
    ShotRow,
    ShotSheet,
    guessed,
    read_shots,
    units_told,
)
from assessments.flight_csv.table import SAMPLE, LeftOut, Table, read_table

__all__ = [
    "CARRY",
    "CLUB",
    "COLUMNS",
    "SAMPLE",
    "UNITS",
    "Column",
    "LeftOut",
    "Reading",
    "ShotRow",
    "ShotSheet",
    "Table",
    "club_called",
    "guessed",
    "read_shots",
    "read_table",
    "units_of",
    "units_told",
]
