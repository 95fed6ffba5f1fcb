"""The invariants of drills and rules, tried by going round the forms."""

import pytest

from tests.assessments.factories import DrillFactory, DrillRuleFactory
from tests.constraints import refused

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("minutes", [1, 61])
def test_a_drill_takes_two_to_sixty_minutes(minutes: int) -> None:
    with refused():
        DrillFactory.create(minutes=minutes)


def test_a_drill_has_its_caution_and_its_address_alone() -> None:
    with refused():
        DrillFactory.create(caution="")
    with refused():
        DrillFactory.create(slug=DrillFactory.create().slug)


def test_a_rule_says_why() -> None:
    with refused():
        DrillRuleFactory.create(why="")


def test_a_rule_is_there_once() -> None:
    rule = DrillRuleFactory.create()
    with refused():
        DrillRuleFactory.create(drill=rule.drill, why="Again.", position=2)
