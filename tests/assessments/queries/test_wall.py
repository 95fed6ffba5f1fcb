"""Which stills hang on the wall of a school, in which order, and which do not."""

from typing import Any

import pytest
from django.utils import timezone

from assessments.models import Entry, Measure, ReferenceStill
from assessments.queries.findings import Group
from assessments.queries.wall import PRIMARY, Beside, Tile, Wall, clubs_filmed, entries_of, wall
from assessments.stations.impact import MEASURES
from lessons.models import Phase
from school.actions.enrolment import cancel_enrolment
from school.models import Enrolment, School
from tests.assessments.factories import FLIP, STRONG, StillFactory
from tests.assessments.reports.scene import impact
from tests.assessments.wall.scene import KEPT, NAMED, SHOWN, attendee
from tests.factories import SchoolFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db

IRON = Group("impact", False, "iron")
BY_NAME = {kind.name: kind for kind in MEASURES}


@pytest.fixture
def school() -> School:
    return SchoolFactory.create()


def hung(school: School, **asked: Any) -> Wall:
    return wall(school, **{"measure": PRIMARY, "club": IRON, "phase": Phase.EXIT, **asked})


def names(tiles: tuple[Tile, ...]) -> list[str]:
    return [tile.golfer for tile in tiles]


def shown(school: School, name: str, rendering: str = STRONG, *kinds: str, **fields: Any) -> Entry:
    return impact(attendee(school, name, SHOWN, *kinds), "exit", rendering, **fields)


def withdraw(enrolment: Enrolment, kind: str) -> None:
    found = enrolment.consents.filter(text__kind=kind)
    assert found.update(withdrawn_at=timezone.now())


def value(entry: Entry, uncertainty: float, value: float) -> None:
    """Make the primary measure of an entry another one."""
    entry.measures.filter(name=PRIMARY.name).update(value=value, standard_uncertainty=uncertainty)


def reference(school: School, name: str, *kinds: str) -> Entry:
    entry = impact(attendee(school, name, *kinds), "exit", FLIP)
    assert entry.still is not None
    ReferenceStill.objects.create(still=entry.still)
    return entry


def test_the_lowest_comes_first_or_the_highest(school: School) -> None:
    for name, number in (("Bo", 2.0), ("Alma", 1.0), ("Cass", 3.0)):
        value(shown(school, name), 0.1, number)
    up, down = hung(school), hung(school, is_descending=True)
    assert names(up.tiles) == ["Alma", "Bo", "Cass"]
    assert names(down.tiles) == ["Cass", "Bo", "Alma"]
    for one in (up, down):
        assert [tile.rank and tile.rank.words for tile in one.tiles] == ["1", "2", "3"]
        assert not one.has_ties


def test_what_cannot_be_told_apart_is_tied(school: School) -> None:
    for name, number in (("Alma", 1.0), ("Bo", 1.2), ("Cass", 3.0)):
        value(shown(school, name), 0.2, number)
    found = hung(school)
    assert [tile.rank and tile.rank.words for tile in found.tiles] == ["1 to 2", "1 to 2", "3"]
    assert [tile.is_tied_with_next for tile in found.tiles] == [True, False, False]
    assert found.has_ties


def test_it_is_sorted_by_any_measure(school: School) -> None:
    shown(school, "Flip", FLIP)
    shown(school, "Strong")
    for kind in MEASURES:
        tiles = hung(school, measure=kind).tiles
        by_entry = {row.entry_id: row.value for row in Measure.objects.filter(name=kind.name)}
        values = [by_entry[tile.entry] for tile in tiles]
        assert len(values) == 2
        assert values == sorted(values)


def test_the_value_has_its_unit_and_its_worth(school: School) -> None:
    shown(school, "Alma")
    (tile,) = hung(school, measure=BY_NAME["shaft_lean_deg"]).tiles
    assert tile.reading is not None
    assert "±" in tile.reading.text
    assert tile.reading.text.endswith("°")


def test_whoever_did_not_agree_does_not_hang(school: School) -> None:
    impact(attendee(school, "Nobody", "filming", KEPT), "exit")
    StillFactory.create(enrolment=attendee(school, "No one"), phase="exit")
    found = hung(school)
    assert (found.tiles, found.apart, found.left_out.unmarked) == ((), (), ())
    assert found.left_out.stills_without_consent == found.left_out.golfers_without_consent == 2


def test_withdrawing_takes_the_stills_away_at_once(school: School) -> None:
    entry = shown(school, "Alma")
    assert names(hung(school).tiles) == ["Alma"]
    withdraw(entry.enrolment, SHOWN)
    found = hung(school)
    assert found.tiles == ()
    assert found.left_out.stills_without_consent == 1


def test_a_name_is_for_others_only_while_its_owner_agrees(school: School) -> None:
    named, nameless = shown(school, "Alma", STRONG, NAMED), shown(school, "Bo", FLIP)
    by_entry = {tile.entry: tile for tile in hung(school).tiles}
    assert (by_entry[named.pk].name, by_entry[nameless.pk].name) == ("Alma", "")
    withdraw(named.enrolment, NAMED)
    assert [tile.name for tile in hung(school).tiles] == ["", ""]


def test_only_what_stands_hangs(school: School) -> None:
    old = shown(school, "Alma")
    new = impact(old.enrolment, "exit", FLIP)
    new.still, new.supersedes = old.still, old
    new.save(update_fields=["still", "supersedes"])
    assert [tile.entry for tile in hung(school).tiles] == [new.pk]


def test_who_gave_up_the_seat_does_not_hang(school: School) -> None:
    entry = shown(school, "Alma")
    cancel_enrolment(enrolment=entry.enrolment, why="moved away", actor=None)
    assert hung(school).tiles == ()


def test_clubs_days_and_schools_are_kept_apart(school: School) -> None:
    shown(school, "Iron")
    shown(school, "Driver", "04_driver_right_strong")
    impact(attendee(school, "Intake", SHOWN), "intake")
    shown(SchoolFactory.create(), "Elsewhere")
    assert names(hung(school).tiles) == ["Iron"]
    driver = Group("impact", False, "driver")
    assert names(hung(school, club=driver).tiles) == ["Driver"]
    assert names(hung(school, phase=Phase.INTAKE).tiles) == ["Intake"]
    assert clubs_filmed(school) == [IRON, driver]


def test_specialty_shots_stand_apart_and_have_no_places(school: School) -> None:
    shown(school, "Full")
    shown(school, "Low one", shot_kind="specialty")
    shown(school, "High one", FLIP, shot_kind="specialty")
    assert names(hung(school).tiles) == ["Full"]
    special = hung(school, club=Group("impact", True, "iron"))
    assert names(special.tiles) == ["High one", "Low one"]
    assert [tile.rank for tile in special.tiles] == [None, None]
    assert not any(tile.is_tied_with_next for tile in special.tiles)


def test_a_doubtful_still_is_shown_with_why_and_without_a_place(school: School) -> None:
    entry = shown(school, "Alma")
    entry.warnings = ["handedness_doubtful"]
    entry.save(update_fields=["warnings"])
    value(shown(school, "Bo"), 0.1, 1.0)
    found = hung(school)
    assert [tile.rank and tile.rank.words for tile in found.tiles] == ["1"]
    (tile,) = found.apart
    assert "left-handed" in tile.doubts[0]
    assert tile.rank is None


def test_a_still_without_the_measure_has_no_place_by_it(school: School) -> None:
    entry = shown(school, "Alma")
    entry.measures.filter(name="ball_position_bd").delete()
    found = hung(school, measure=BY_NAME["ball_position_bd"])
    assert found.tiles == ()
    assert "not marked" in found.apart[0].doubts[0]
    assert names(hung(school).tiles) == ["Alma"]


def test_an_unmarked_still_is_told_of(school: School) -> None:
    StillFactory.create(enrolment=attendee(school, "Alma", SHOWN), phase="exit")
    (unmarked,) = hung(school).left_out.unmarked
    assert (unmarked.golfer, unmarked.phase) == ("Alma", "exit")


def test_a_golfers_two_days_hang_beside_each_other(school: School) -> None:
    exit_ = shown(school, "Alma")
    intake = impact(exit_.enrolment, "intake", FLIP)
    found = hung(school, beside=Beside.PAIRS)
    (tile,) = found.tiles
    assert (tile.entry, tile.other and tile.other.entry) == (exit_.pk, intake.pk)
    (turned,) = hung(school, beside=Beside.PAIRS, phase=Phase.INTAKE).tiles
    assert (turned.entry, turned.other and turned.other.entry) == (intake.pk, exit_.pk)


def test_of_several_stills_of_a_day_the_one_nearest_to_their_mean_stands(school: School) -> None:
    first = shown(school, "Alma")
    others = [impact(first.enrolment, "exit", shift_px=shift) for shift in (1, 2)]
    for entry, number in zip([first, *others], (1.0, 4.0, 2.0), strict=True):
        value(entry, 0.1, number)
    (tile,) = hung(school, beside=Beside.PAIRS).tiles
    assert (tile.entry, tile.of) == (others[1].pk, 3)
    assert len(hung(school).tiles) == 3


def test_who_has_one_day_only_is_in_place_or_apart(school: School) -> None:
    shown(school, "Exit only")
    impact(attendee(school, "Intake only", SHOWN), "intake")
    found = hung(school, beside=Beside.PAIRS)
    assert [(tile.golfer, tile.other) for tile in found.tiles] == [("Exit only", None)]
    assert names(found.apart) == ["Intake only"]
    assert "no exit still" in found.apart[0].doubts[0]


def test_the_reference_set_hangs_without_names(school: School) -> None:
    value(shown(school, "Alma"), 0.1, 5.0)
    kept = reference(SchoolFactory.create(), "Somebody", KEPT, NAMED)
    found = hung(school, beside=Beside.REFERENCE)
    assert [(t.entry, t.golfer, t.name) for t in found.reference] == [(kept.pk, "", "")]
    standing = found.tiles[0].standing
    assert standing is not None
    assert (standing.below, standing.tied, standing.above) == (1, 0, 0)
    assert hung(school).reference == ()


def test_the_reference_set_is_of_those_who_still_agree(school: School) -> None:
    kept = reference(SchoolFactory.create(), "Somebody", KEPT)
    reference(SchoolFactory.create(), "Nobody", SHOWN)
    assert [t.entry for t in hung(school, beside=Beside.REFERENCE).reference] == [kept.pk]
    withdraw(kept.enrolment, KEPT)
    assert hung(school, beside=Beside.REFERENCE).reference == ()


def test_ones_own_school_is_no_reference_and_neither_is_a_doubtful_still(school: School) -> None:
    reference(school, "Alma", KEPT)
    doubtful = reference(SchoolFactory.create(), "Somebody", KEPT)
    doubtful.warnings = ["not_at_impact"]
    doubtful.save(update_fields=["warnings"])
    assert hung(school, beside=Beside.REFERENCE).reference == ()


def test_more_stills_take_no_more_queries(school: School) -> None:
    def grow() -> None:
        entry = shown(school, "Somebody", STRONG, NAMED, KEPT)
        impact(entry.enrolment, "intake", FLIP)
        StillFactory.create(enrolment=entry.enrolment, phase="exit")
        reference(SchoolFactory.create(), "Somebody else", KEPT)

    def cost(beside: Beside) -> int:
        return queries_of(lambda: hung(school, beside=beside))

    grow()
    few = [cost(beside) for beside in Beside]
    for _ in range(2):
        grow()
    assert [cost(beside) for beside in Beside] == few == [4, 4, 6]
    assert queries_of(lambda: entries_of(hung(school).tiles)) == 5
