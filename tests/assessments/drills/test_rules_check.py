"""What is wrong with a drill or a rule is said in words, at the field it stands in."""

from __future__ import annotations

from typing import Any

import pytest

from assessments.practice.rules_check import faults_of_drill, faults_of_rule

KNOWN = {"putting": {"make_rate_2m": "higher", "distance_bias_3m": "none"}}
DRILL = {
    "steps": "Aim.\nPutt.\nCount.",
    "equipment": ["putter"],
    "avoid_with": ["back"],
    "picture": "putt_gate",
}
RULE = {"kind": "putting", "measure": "make_rate_2m", "when": "low", "why": "{value}, not {usual}."}


def drill_faults(**other: Any) -> dict[str, str]:
    return faults_of_drill(**{**DRILL, **other}, pictures={"putt_gate"})


def rule_faults(**other: Any) -> dict[str, str]:
    return faults_of_rule(**{**RULE, **other}, known=KNOWN)


def test_a_whole_drill_and_rule_have_no_faults() -> None:
    assert drill_faults() == {}
    assert rule_faults() == {}


@pytest.mark.parametrize(
    ("field", "given", "said"),
    [
        ("steps", "Aim.\n\nPutt.", "3 to 6 steps, one a line; these are 2"),
        ("steps", "\n".join("1234567"), "these are 7"),
        ("equipment", ["putter", "hoop"], "Not known as needed: “hoop”. Known are balls,"),
        ("avoid_with", ["spleen"], "Not known as what may hurt: “spleen”"),
        ("picture", "hoop", "No picture is drawn that is called “hoop”."),
    ],
)
def test_what_a_drill_cannot_keep(field: str, given: object, said: str) -> None:
    found = drill_faults(**{field: given})
    assert list(found) == [field]
    assert said in found[field]


@pytest.mark.parametrize(
    ("field", "given", "said"),
    [
        ("kind", "juggling", "No station is called “juggling”."),
        ("measure", "carry_m", "That station has no measure called “carry_m”."),
        ("why", "Now {value}, {change}.", "no {change}. It may name {measure}, {value}, {usual}."),
        ("why", "Now {value.unit}.", "A bracket stands alone"),
        ("why", "Now {value", "A bracket stands alone"),
    ],
)
def test_what_a_rule_cannot_keep(field: str, given: str, said: str) -> None:
    found = rule_faults(**{field: given})
    assert list(found) == [field]
    assert said in found[field]


@pytest.mark.parametrize("when", ["worse", "better"])
def test_what_changed_is_not_called_unusual(when: str) -> None:
    assert rule_faults(when=when, why="Now {value}, {change}.") == {}
    assert "{usual}" in rule_faults(when=when)["why"]


def test_without_a_better_side_nothing_gets_worse() -> None:
    found = rule_faults(measure="distance_bias_3m", when="worse", why="Now {value}.")
    assert "no better side" in found["when"]
    assert rule_faults(measure="distance_bias_3m", when="high") == {}
