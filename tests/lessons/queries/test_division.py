"""Who belongs with whom, and how many squads of left-handers the bays serve."""

from datetime import date

import pytest

from lessons.queries.company import company_of
from lessons.queries.division import LeftHandedBays, division_of, left_handed_bays
from school.models import Enrolment, School
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.lessons.factories import BayFactory, StationFactory, VisitFactory

pytestmark = pytest.mark.django_db
TWELVE = date(2015, 1, 1)


@pytest.fixture
def school() -> School:
    made: School = SchoolFactory.create()
    return made


def attendee(school: School, name: str, email: str = "", **fields: object) -> Enrolment:
    made: Enrolment = EnrolmentFactory.create(
        school=school,
        golfer__full_name=name,
        golfer__email=email,
        **{f"golfer__{key}": value for key, value in fields.items()},
    )
    return made


def found(school: School) -> tuple[list[str], list[str]]:
    """Who looks after whom, and who perhaps does, as "minor adult" by first names."""
    rows = {each.pk: each.golfer.full_name.split()[0] for each in school.enrolments.all()}
    company = company_of(school, school.enrolments.select_related("golfer"))
    cares, perhaps = (
        [" ".join(rows[key] for key in pair) for pair in pairs]
        for pairs in (company.cares, company.perhaps)
    )
    return cares, perhaps


@pytest.mark.parametrize(
    ("name", "email", "guardian", "guardian_email"),
    [
        ("Ann Reed", "", "ann  reed", ""),
        ("Ann Reed", "ann@example.org", "Ann Reed", ""),
        ("Ann Reed", "ann@example.org", "Mum", "Ann@example.org"),
        ("Ann Reed", "reeds@example.org", "Ann Reed", "reeds@example.org"),
    ],
)
def test_a_guardian_is_told_by_name_or_email(
    school: School, name: str, email: str, guardian: str, guardian_email: str
) -> None:
    attendee(school, name, email)
    attendee(
        school,
        "Tim Reed",
        birth_date=TWELVE,
        guardian_name=guardian,
        guardian_email=guardian_email,
    )
    assert found(school) == (["Tim Ann"], [])


def test_a_namesake_with_another_email_is_only_perhaps_meant(school: School) -> None:
    attendee(school, "Ann Reed", "ann@example.org")
    attendee(
        school,
        "Tim Marsh",
        birth_date=TWELVE,
        guardian_name="Ann Reed",
        guardian_email="other@example.org",
    )
    assert found(school) == ([], ["Tim Ann"])


def test_of_two_who_may_be_meant_neither_is_taken(school: School) -> None:
    for name in ("Ann Reed", "Ben Reed"):
        attendee(school, name, "reeds@example.org")
    attendee(
        school,
        "Tim Reed",
        birth_date=TWELVE,
        guardian_name="Mum",
        guardian_email="reeds@example.org",
    )
    assert found(school) == ([], ["Tim Ann", "Tim Ben"])


def test_a_minor_looks_after_nobody_and_strangers_are_not_suggested(school: School) -> None:
    attendee(school, "Una Dune", birth_date=TWELVE, guardian_name="Per Dune")
    attendee(school, "Ola Dune", birth_date=TWELVE, guardian_name="Una Dune")
    attendee(school, "Cy Marsh")
    assert found(school) == ([], [])


def test_bays_for_left_handers_are_counted_where_they_are_fewest(school: School) -> None:
    for slug, needs in (("impact", ["camera"]), ("short", [])):
        station = StationFactory.create(slug=slug, is_handed=True)
        BayFactory.create(features=[*needs, "left-handed"])
        BayFactory.create(features=needs)
        station.needs.set(needs)
        VisitFactory.create(programme=school.programme, station=station)
    BayFactory.create(features=["camera"], capacity=2)
    BayFactory.create(features=["camera", "left-handed"], is_open=False)
    assert left_handed_bays(school) == LeftHandedBays("Impact", 1, 4)


def test_where_no_station_is_handed_left_handers_go_anywhere(school: School) -> None:
    VisitFactory.create(programme=school.programme)
    assert left_handed_bays(school).squads_served(6) == 6


@pytest.mark.parametrize(
    ("left", "bays", "squads", "served"),
    [(0, 6, 6, 0), (1, 3, 6, 2), (2, 12, 3, 2), (6, 6, 5, 6), (1, 6, 4, 1), (0, 0, 4, 0)],
)
def test_squads_that_left_handed_bays_serve(left: int, bays: int, squads: int, served: int) -> None:
    assert LeftHandedBays("Impact", left, bays).squads_served(squads) == served


def test_who_waits_is_no_part_of_the_division(school: School) -> None:
    seated = attendee(school, "Ann Reed")
    waiting = EnrolmentFactory.create(school=school, state="waiting", seat=None)
    division = division_of(school)
    assert division.key_of(seated) == "00001"
    assert division.key_of(waiting) is None
