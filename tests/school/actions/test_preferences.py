"""In what units and in which language a golfer is written to."""

import pytest
from django.core.exceptions import ValidationError

from school.actions.preferences import set_preferences
from school.models import Account, AuditEntry, Golfer
from tests.factories import GolferFactory

pytestmark = pytest.mark.django_db


def chosen(golfer: Golfer, actor: Account, **changed: str) -> Golfer:
    given = {"distances_in": "m", "speeds_in": "m/s", "language": "de", **changed}
    return set_preferences(golfer=golfer, actor=actor, **given)


def test_preferences_are_kept_and_what_changed_is_noted(front_desk: Account) -> None:
    golfer = GolferFactory.create(speeds_in="m/s")
    chosen(golfer, front_desk)
    golfer.refresh_from_db()
    assert (golfer.distances_in, golfer.speeds_in, golfer.language) == ("m", "m/s", "de")
    note = AuditEntry.objects.get(verb="set_preferences")
    assert (note.actor, note.detail["fields"]) == (front_desk, ["distances_in", "language"])


def test_the_same_again_writes_nothing(front_desk: Account) -> None:
    golfer = GolferFactory.create(distances_in="m", speeds_in="m/s", language="de")
    chosen(golfer, front_desk)
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize("wrong", [{"distances_in": "ell"}, {"speeds_in": ""}, {"language": "x"}])
def test_what_there_is_not_is_refused(front_desk: Account, wrong: dict[str, str]) -> None:
    golfer = GolferFactory.create()
    with pytest.raises(ValidationError) as refused:
        chosen(golfer, front_desk, **wrong)
    assert refused.value.error_dict.keys() == wrong.keys()
    golfer.refresh_from_db()
    assert golfer.distances_in == "yd"
