"""The drills that come with the house: whole, drawn, and there for every finding."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from typing import Any
from xml.etree import ElementTree

import pytest
from django.conf import settings
from django.core.management import call_command
from django.template.loader import render_to_string

from assessments.forms.drills import DrillForm, drawn_pictures
from assessments.models import ClubClass, Drill, DrillRule
from assessments.practice.rules_check import faults_of_rule
from assessments.practice.words import EQUIPMENT, HURTS
from assessments.queries.drills import known_measures, measure_kinds
from assessments.stations.base import MeasureKind

ROWS = json.loads((settings.BASE_DIR / "fixtures" / "drills.json").read_text())
SVG = "{http://www.w3.org/2000/svg}"
BAD_SIDES = {"higher": {"low", "worse"}, "lower": {"high", "worse"}}
SERVED = {
    *("impact", "strike", "ball_flight", "putting"),
    *("short_game", "bunker", "physical", "on_course"),
}
TURNED = "translate(160 0) scale(-1 1)"
COLOURS = {"none", "#ffffff", "#1b2a30", "#b4411f", "#2f6347", "#2b5d84", "#d9d3c4"}


def fields(model: str) -> list[dict[str, Any]]:
    return [row["fields"] for row in ROWS if row["model"] == f"assessments.{model}"]


DRILLS, RULES = fields("drill"), fields("drillrule")
NAMES = [drill["slug"] for drill in DRILLS]


def drawn(picture: str, *, is_left_handed: bool = False) -> Any:
    context = {"drill": {"picture": picture}, "is_left_handed": is_left_handed}
    return ElementTree.fromstring(
        render_to_string("assessments/drills/picture.html", context).strip()
    )


def words(svg: Any) -> list[str]:
    return [each.text for each in svg.iter(f"{SVG}text")]


def test_there_are_enough_drills_each_of_its_own_name() -> None:
    assert len(DRILLS) >= 32
    assert len(set(NAMES)) == len(DRILLS)
    assert len({drill["name"] for drill in DRILLS}) == len(DRILLS)
    assert len({drill["picture"] for drill in DRILLS}) >= 24


@pytest.mark.django_db
def test_every_drill_is_whole() -> None:
    errors = {drill["slug"]: DrillForm(drill).errors for drill in DRILLS}
    assert {name: found for name, found in errors.items() if found} == {}


def test_every_code_has_a_drill() -> None:
    """What can be ticked on a plan's form makes a difference."""
    assert {code for drill in DRILLS for code in drill["equipment"]} == EQUIPMENT.keys()
    assert {code for drill in DRILLS for code in drill["avoid_with"]} == HURTS.keys()


def test_nobody_is_spoken_of_by_left_and_right() -> None:
    texts = [" ".join(map(str, drill.values())) for drill in DRILLS]
    assert [
        text for text in texts if re.search(r"\b(left|right) (arm|hand|foot|side|leg)", text)
    ] == []


def test_every_rule_fits_its_measure_and_names_what_its_finding_has() -> None:
    """Of the stations that there are: rules may wait for one, and outlive one."""
    names, known = ("kind", "measure", "when", "why"), known_measures()
    rules = [{name: rule[name] for name in names} for rule in RULES if rule["kind"] in known]
    assert [rule for rule in rules if faults_of_rule(**rule, known=known)] == []
    assert {rule["club_class"] for rule in RULES} <= {"", *ClubClass.values}
    assert {rule["when"] for rule in RULES} == set(DrillRule.When.values)


def test_every_measure_with_a_bad_side_has_drills_for_it() -> None:
    """Of the stations that the library serves; a new one is recorded at before it has drills."""
    served = {(rule["kind"], rule["measure"], rule["when"]) for rule in RULES}
    wanted = {
        (*key, when)
        for key, measure in measure_kinds().items()
        for when in _bad_sides(measure)
        if key[0] in SERVED or key[0] in {kind for kind, _, _ in served}
    }
    assert wanted - served == set()


def _bad_sides(measure: MeasureKind) -> Iterable[str]:
    if measure.better != "none":
        return BAD_SIDES[measure.better]
    ends = [("low", each.low) for each in measure.typical]
    ends += [("high", each.high) for each in measure.typical]
    return [side for side, end in ends if end is not None]


def test_every_drill_is_drawn_and_every_drawing_used() -> None:
    assert {drill["picture"] for drill in DRILLS} == drawn_pictures()


@pytest.mark.parametrize("picture", sorted(drawn_pictures()))
def test_a_picture_brings_all_it_needs_with_it(picture: str) -> None:
    """Neither engine adds a style to it, and a screen reader has its title."""
    svg = drawn(picture)
    assert svg.get("viewBox") == "0 0 160 120"
    assert len(svg.findtext(f"{SVG}title")) > 20
    for part in svg.iter():
        assert not {"class", "style", "filter", "id"} & set(part.attrib)
        assert {part.get("fill", "none"), part.get("stroke", "none")} <= COLOURS
        assert part.tag.removeprefix(SVG) in DRAWN_WITH


DRAWN_WITH = {"svg", "title", "rect", "g", "path", "circle", "ellipse", "text"}


@pytest.mark.parametrize("picture", sorted(drawn_pictures()))
def test_a_picture_is_turned_round_and_its_words_are_not(picture: str) -> None:
    right, left = drawn(picture), drawn(picture, is_left_handed=True)
    assert [g.get("transform") for g in left.findall(f"{SVG}g")] == [TURNED]
    assert [g.get("transform") for g in right.findall(f"{SVG}g")] == [None]
    assert words(left) == words(right)
    assert not left.findall(f"{SVG}g//{SVG}text")
    places = zip(right.findall(f"{SVG}text"), left.findall(f"{SVG}text"), strict=True)
    assert all(int(one.get("x")) + int(other.get("x")) == 160 for one, other in places)


@pytest.mark.django_db
def test_the_library_loads_with_its_constraints() -> None:
    call_command("loaddata", "drills", verbosity=0)
    assert Drill.objects.count() == len(DRILLS)
