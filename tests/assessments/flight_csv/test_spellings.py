"""One set of shots, written down in every way a program may choose, reads back the same."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assessments.flight_csv import COLUMNS, UNITS, Column, guessed, read_shots, read_table, units_of

ONE_OF = {column.key: [unit.key for unit in units_of(column)] for column in COLUMNS}
SIDEWAYS = {column.key for column in COLUMNS if column.sideways}
LOWEST = {"carry_m": 0, "ball_speed_mps": 1, "club_speed_mps": 1, "spin_rpm": 0}

shots = st.lists(
    st.fixed_dictionaries(
        {
            column.key: st.integers(LOWEST.get(column.key, -60) * 10, 3000).map(lambda n: n / 10)
            for column in COLUMNS
        }
    ),
    min_size=1,
    max_size=6,
)


@st.composite
def writings(draw: st.DrawFn) -> dict[str, Any]:
    separator = draw(st.sampled_from(",;\t|"))
    return {
        "separator": separator,
        "decimal": draw(st.sampled_from("." if separator == "," else ".,")),
        "order": draw(st.permutations(COLUMNS)),
        "units": {key: draw(st.sampled_from(keys)) for key, keys in ONE_OF.items()},
        "headings": {column.key: draw(st.sampled_from(names(column))) for column in COLUMNS},
        "row_of_units": draw(st.booleans()),
        "letters": draw(st.booleans()),
        "grouped": draw(st.booleans()),
        "above": draw(st.sampled_from(["", "Session of 7 May\n\n", "sep=;\n"])),
        "encoding": draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16"])),
    }


def names(column: Column) -> list[str]:
    return [column.title, column.title.title(), *column.also]


@settings(max_examples=80, deadline=None)
@given(shots=shots, way=writings())
def test_a_table_reads_back_whatever_wrote_it(
    shots: list[dict[str, float]], way: dict[str, Any]
) -> None:
    table = read_table(written(shots, way).encode(way["encoding"]))
    sheet = read_shots(table, guessed(table))
    assert [row.words for row in sheet.rows] == [()] * len(shots)
    for row, shot in zip(sheet.rows, shots, strict=True):
        wanted = {key: value * UNITS[way["units"][key]].factor for key, value in shot.items()}
        assert row.values == pytest.approx(wanted, abs=1e-4)


def written(shots: list[dict[str, float]], way: dict[str, Any]) -> str:
    keys = [column.key for column in way["order"]]
    units = [way["units"][key] for key in keys]
    titles = [way["headings"][key] for key in keys]
    rows = [titles, [f"[{unit}]" for unit in units]]
    if not way["row_of_units"]:
        rows = [[f"{title} ({unit})" for title, unit in zip(titles, units, strict=True)]]
    rows += [[cell(key, shot[key], way) for key in keys] for shot in shots]
    return way["above"] + "\n".join(way["separator"].join(row) for row in rows)


def cell(key: str, value: float, way: dict[str, Any]) -> str:
    letter = ""
    if way["letters"] and key in SIDEWAYS:
        letter, value = (" L" if value < 0 else " R"), abs(value)
    text = f"{value:,.1f}" if way["grouped"] and way["separator"] != "," else f"{value:.1f}"
    if way["decimal"] == ",":
        text = text.translate({ord("."): ",", ord(","): "."})
    return text + letter
