"""The library as staff look through it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from assessments.queries.drills import FOR_ANY_DAY, Search, drill_groups, findings_served
from school.models import Account
from tests.assessments.factories import DrillFactory, DrillRuleFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(instructor: Account, client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(instructor)


def found(search: Search = Search()) -> dict[str, list[str]]:  # noqa: B008
    return {group.title: [each.name for each in group.drills] for group in drill_groups(search)}


def page_of(client: Client, name: str, *args: str, **query: str) -> str:
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_a_drill_stands_under_the_station_that_most_of_its_rules_name() -> None:
    gate = DrillFactory.create(name="Gate")
    DrillRuleFactory.create(drill=gate)
    DrillRuleFactory.create(drill=gate, measure="gate_rate")
    DrillRuleFactory.create(drill=gate, kind="ball_flight", measure="carry_m")
    DrillFactory.create(name="Loosen up")
    assert found() == {"Putting": ["Gate"], FOR_ANY_DAY: ["Loosen up"]}


def test_what_is_out_of_use_is_not_listed() -> None:
    DrillFactory.create(is_in_use=False)
    DrillRuleFactory.create(drill__name="Gate", is_in_use=False)
    assert found() == {FOR_ANY_DAY: ["Gate"]}


def test_a_search_goes_by_words_station_and_what_is_there() -> None:
    DrillRuleFactory.create(drill__name="Gate")
    DrillFactory.create(name="Ladder", equipment=["wedges", "balls"])
    DrillFactory.create(name="Turn", equipment=[], steps="Sit.\nTURN slowly.\nBreathe.")
    assert found(Search(words="turn slowly")) == {FOR_ANY_DAY: ["Turn"]}
    assert found(Search(kind="putting")) == {"Putting": ["Gate"]}
    assert found(Search(equipment=frozenset(["balls", "wedges"]))) == {
        FOR_ANY_DAY: ["Ladder", "Turn"]
    }


def test_the_list_costs_the_same_however_long_it_is(client: Client) -> None:
    def look() -> object:
        return page_of(client, "drills")

    DrillRuleFactory.create_batch(2)
    few = queries_of(look)
    DrillRuleFactory.create_batch(2)
    assert queries_of(look) == few


def test_the_form_of_the_list_searches(client: Client) -> None:
    DrillFactory.create(name="Ladder")
    DrillFactory.create(name="Gate")
    page = page_of(client, "drills", words="ladder", have="putter")
    assert "No drill is like that." in page
    page = page_of(client, "drills", words="ladder")
    assert "1 drill found." in page
    assert "Gate" not in page


def test_a_search_that_cannot_be_is_said_and_keeps_its_words(client: Client) -> None:
    DrillFactory.create()
    page = page_of(client, "drills", serves="juggling", words="slow")
    assert "juggling is not one of the available choices" in page
    assert 'value="slow"' in page


def test_an_empty_library_says_how_it_is_filled(client: Client) -> None:
    assert "No drills yet" in page_of(client, "drills")


def test_a_drill_says_what_it_needs_and_what_it_serves(client: Client) -> None:
    drill = DrillRuleFactory.create(drill__avoid_with=["back"]).drill
    page = page_of(client, "drill", drill.slug)
    for said in ["a putter, golf balls", "the back", drill.caution, "Make rate from 2 m"]:
        assert said in page
    assert page.count("<li>Aim through the gate.</li>") == 1


def test_what_serves_one_measure_stands_in_one_line() -> None:
    drill = DrillFactory.create()
    for when in ("worse", "low"):
        DrillRuleFactory.create(drill=drill, when=when, why=f"{{measure}} {when}: {{value}}.")
    DrillRuleFactory.create(drill=drill, kind="ball_flight", measure="carry_m", club_class="wood")
    carry, rate = findings_served(drill)
    assert (carry.station, carry.measure, carry.club) == ("Ball flight", "Carry", "fairway wood")
    assert rate.whens == ("it lies below what is usual", "it got worse during the school")
    assert rate.why == "make rate from 2 m low: [value]."


def test_a_rule_for_a_station_that_is_gone_is_passed_over(client: Client) -> None:
    drill = DrillRuleFactory.create(kind="juggling").drill
    assert "No finding proposes it" in page_of(client, "drill", drill.slug)
    assert found() == {FOR_ANY_DAY: [drill.name]}


def test_a_drill_is_shown_to_either_hand(client: Client) -> None:
    slug = DrillFactory.create().slug
    turned = "translate(160 0) scale(-1 1)"
    assert turned not in page_of(client, "drill", slug)
    assert turned in page_of(client, "drill", slug, hand="left")


def test_a_drill_out_of_use_can_be_read(client: Client) -> None:
    page = page_of(client, "drill", DrillFactory.create(is_in_use=False).slug)
    assert "No longer in use" in page


def test_there_is_no_page_of_no_drill(client: Client) -> None:
    assert client.get(reverse("drill", args=["none"])).status_code == 404
