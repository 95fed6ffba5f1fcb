"""Intake above exit, drawn for the page and for print."""

from typing import Any
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string

from assessments.stations.base import MeasureKind, Measures, MeasureValue
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.readings import reading, readings

CARRY = MeasureKind("carry_m", "carry", "m", 0)
SIDE = MeasureKind("side_m", "side", "m", 1, signed=True)
LEAN = MeasureKind("shaft_lean_deg", "shaft lean", "deg", 1, signed=True)


def value(name: str, middle: float, half: float | None) -> MeasureValue:
    if half is None:
        return MeasureValue(name, middle, "m", None, None, None, "one shot")
    return MeasureValue(name, middle, "m", half / 2, middle - half, middle + half, "a test")


def carries(middle: float, half: float | None = 5.0) -> Measures:
    return {"carry_m": value("carry_m", middle, half)}


def drawn(chart: dict[str, Any]) -> ElementTree.Element:
    return ElementTree.fromstring(render_to_string(CHANGE_CHART, {"chart": chart}))


def test_both_sides_lie_on_one_scale() -> None:
    row = change_chart("Ball flight", [CARRY], carries(110), carries(120))["rows"][0]
    intake, exit_ = row["marks"]
    assert intake["x"] < exit_["x"]
    assert intake["low"] < intake["x"] < intake["high"]
    assert row["ticks"][0]["x"] <= intake["low"] < exit_["high"] <= row["ticks"][-1]["x"]


def test_a_share_to_either_side_lies_on_its_scale() -> None:
    bias = MeasureKind("high_low_bias", "high over low", "%", 0, signed=True)
    low = {bias.name: MeasureValue(bias.name, -67, "%", 12, -90, -25, "12 balls")}
    row = change_chart("Strike", [bias], low, None)["rows"][0]
    assert row["ticks"][0]["x"] <= row["marks"][0]["low"] < row["marks"][0]["x"]


def test_the_title_tells_what_is_drawn() -> None:
    chart = change_chart("Ball flight", [CARRY], carries(110), carries(120))
    assert drawn(chart).findtext("title") == "Ball flight: carry (m), intake 110 ± 5, exit 120 ± 5"


def test_each_side_is_named_and_written_beside_its_mark() -> None:
    texts = [node.text for node in drawn(change_chart("F", [CARRY], carries(110), None)).iter()]
    assert {"intake", "110 ± 5", "Carry (m)"} <= set(texts)
    assert "exit" not in texts


def test_colours_are_attributes_for_print() -> None:
    nodes = list(drawn(change_chart("F", [CARRY], carries(110), carries(120))).iter())
    assert {"#0072b2", "#d55e00"} <= {node.get("stroke") for node in nodes}
    assert not any(node.get("class") or node.get("style") for node in nodes)


def test_what_neither_side_has_is_left_out() -> None:
    assert change_chart("F", [CARRY, SIDE], carries(110), None)["height"] == 76


@pytest.mark.parametrize("middle", [0.0, 1e-9, -250.0, 0.0001, 12345.0])
def test_a_value_without_worth_still_gets_a_scale(middle: float) -> None:
    row = change_chart("F", [CARRY], carries(middle, None), None)["rows"][0]
    assert 2 <= len(row["ticks"]) <= 8
    assert row["marks"][0]["low"] == row["marks"][0]["high"]


@pytest.mark.parametrize("unit", ["%", "points"])
def test_rates_and_scores_are_drawn_from_0_to_100(unit: str) -> None:
    kind = MeasureKind("rate", "rate", unit, 0)
    ticks = change_chart("F", [kind], {"rate": MeasureValue("rate", 50, unit, 5, 40, 60, "")}, None)
    labels = [tick["label"] for tick in ticks["rows"][0]["ticks"]]
    assert (labels[0], labels[-1]) == ("0", "100")


@pytest.mark.parametrize(
    ("kind", "measure", "text"),
    [
        (LEAN, value("shaft_lean_deg", 8.37, 0.8), "+8.4 ± 0.8°"),
        (SIDE, value("side_m", -3.02, 1.21), "−3.0 ± 1.3 m"),
        (SIDE, value("side_m", -0.04, 1.0), "0.0 ± 1.0 m"),
        (CARRY, value("carry_m", 131.6, None), "132 m"),
        (CARRY, MeasureValue("carry_m", 6, "m", 1, 3, 38, "skew"), "6 (3 to 38) m"),
        (CARRY, MeasureValue("carry_m", 6, "m", 3.0, 5.5, 6.5, "narrow"), "6 ± 6 m"),
    ],
)
def test_a_reading_has_its_unit_and_its_worth(
    kind: MeasureKind, measure: MeasureValue, text: str
) -> None:
    assert reading(kind, measure).text == text


def test_readings_follow_the_station_and_not_the_rows() -> None:
    found = {"side_m": value("side_m", 1, 1), "carry_m": value("carry_m", 1, 1)}
    assert [one.title for one in readings([CARRY, SIDE, LEAN], found)] == ["Carry", "Side"]
