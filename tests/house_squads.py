"""What the pages of squads of a small house are about: two squads, and a wish across them."""

from datetime import date
from typing import Any

from lessons.models import SquadMember, SquadWish
from tests.factories import SchoolFactory
from tests.lessons.factories import SquadFactory, SquadMemberFactory

PAGES = (
    *("squads", "squad_move", "squad_swap", "squad_check", "squads_remake"),
    "squad_wish",
)


def build_squads(starts_on: date) -> SquadWish:
    """Two golfers in the first squad and one in the second."""
    first = SquadFactory.create(school=SchoolFactory.create(starts_on=starts_on))
    one, _another = SquadMemberFactory.create_batch(2, squad=first)
    third = SquadMemberFactory.create(squad=SquadFactory.create(school=first.school))
    return SquadWish.objects.create(one=one.enrolment, other=third.enrolment, kind="apart")


def squads_addresses(wish: SquadWish) -> dict[str, list[Any]]:
    school = wish.one.school_id
    return {**{page: [school] for page in PAGES}, "squad_wish_drop": [school, wish.pk]}


def squads_writes(wish: SquadWish) -> dict[str, dict[str, Any]]:
    one, another, third = SquadMember.objects.filter(squad__school=wish.one.school_id)
    return {
        "squad_move": {"enrolment": another.enrolment_id, "squad": third.squad_id},
        "squad_swap": {"one": one.enrolment_id, "other": third.enrolment_id},
        "squads_remake": {},
        "squad_wish": {
            "one": one.enrolment_id,
            "other": another.enrolment_id,
            "kind": "together",
        },
        "squad_wish_drop": {},
    }
