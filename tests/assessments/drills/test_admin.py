"""Drills and rules are edited in the admin, and what could not be used is refused in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import Drill, DrillRule
from school.models import Account, AuditEntry
from tests.assessments.factories import DrillFactory, DrillRuleFactory
from tests.factories import AccountFactory

pytestmark = pytest.mark.django_db
DRILL = {
    "slug": "ladder",
    "name": "Ladder",
    "purpose": "Know the distance.",
    "set_up": "Lay three towels.",
    "steps": "Play to the first.\nThen to the second.\nThen to the third.",
    "count": "9 balls",
    "minutes": "12",
    "equipment": ["wedges", "balls"],
    "avoid_with": ["back"],
    "caution": "Look round first.",
    "picture": "wedge_ladder",
    "is_in_use": "on",
}


@pytest.fixture
def keeper() -> Account:
    return AccountFactory.create(is_staff=True, is_superuser=True)


@pytest.fixture
def client(keeper: Account, client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(keeper)


def send(client: Client, page: str, given: dict[str, Any], *args: int) -> str:
    answer = client.post(reverse(f"admin:assessments_{page}", args=args), given)
    return str(answer.content.decode())


def rule_of(drill: Drill, **other: str) -> dict[str, Any]:
    why = "{measure} is {value}, not {usual}."
    rule = {"kind": "putting", "measure": "make_rate_2m", "club_class": "", "when": "low"}
    return {**rule, "drill": drill.pk, "position": 1, "why": why, "is_in_use": "on", **other}


@pytest.mark.parametrize("kind", ["drill", "drillrule"])
def test_lists_and_forms_open(kind: str, client: Client) -> None:
    rule = DrillRuleFactory.create()
    pk = rule.drill_id if kind == "drill" else rule.pk
    for page, args in [("changelist", []), ("add", []), ("change", [pk])]:
        address = reverse(f"admin:assessments_{kind}_{page}", args=args)
        assert client.get(address).status_code == 200


def test_a_new_drill_is_kept_and_noted(client: Client, keeper: Account) -> None:
    send(client, "drill_add", DRILL)
    drill = Drill.objects.get()
    assert (drill.equipment, drill.avoid_with) == (["wedges", "balls"], ["back"])
    assert AuditEntry.objects.get(verb="add").actor == keeper


def test_a_change_names_its_fields(client: Client) -> None:
    send(client, "drill_add", DRILL)
    drill = Drill.objects.get()
    send(client, "drill_change", {**DRILL, "equipment": ["wedges"]}, drill.pk)
    drill.refresh_from_db()
    assert drill.equipment == ["wedges"]
    assert AuditEntry.objects.get(verb="change").detail == {"fields": ["equipment"]}


@pytest.mark.parametrize(
    ("field", "given", "said"),
    [
        ("steps", "Play.", "A drill has 3 to 6 steps, one a line; these are 1."),
        ("equipment", ["hoop"], "hoop is not one of the available choices"),
        ("picture", "hoop", "hoop is not one of the available choices"),
        ("caution", "", "This field is required."),
    ],
)
def test_a_drill_that_could_not_be_used(
    field: str, given: object, said: str, client: Client
) -> None:
    page = send(client, "drill_add", {**DRILL, field: given})
    assert said in page
    assert "Know the distance." in page
    assert not Drill.objects.exists()


def test_a_rule_is_kept(client: Client) -> None:
    send(client, "drillrule_add", rule_of(DrillFactory.create()))
    assert DrillRule.objects.get().measure == "make_rate_2m"


@pytest.mark.parametrize(
    ("field", "given", "said"),
    [
        ("measure", "carry_m", "That station has no measure called “carry_m”."),
        ("measure", "hoops", "hoops is not one of the available choices"),
        ("why", "{change}", "Such a finding has no {change}."),
    ],
)
def test_a_rule_that_could_not_be_used(field: str, given: str, said: str, client: Client) -> None:
    page = send(client, "drillrule_add", rule_of(DrillFactory.create(), **{field: given}))
    assert said in page
    assert not DrillRule.objects.exists()


def test_the_same_rule_twice_is_refused(client: Client) -> None:
    drill = DrillFactory.create()
    send(client, "drillrule_add", rule_of(drill))
    assert "There is such a rule for this drill already." in send(
        client, "drillrule_add", rule_of(drill)
    )
