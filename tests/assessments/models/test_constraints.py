"""The invariants of what is recorded, tried by going round the forms."""

import pytest

from assessments.models import Still
from tests.assessments.factories import EntryFactory, MeasureFactory, StillFactory
from tests.constraints import refused

pytestmark = pytest.mark.django_db


def test_an_entry_has_its_id_once() -> None:
    entry = EntryFactory.create()
    with refused():
        EntryFactory.create(id=entry.pk)


def test_an_entry_is_superseded_once() -> None:
    entry = EntryFactory.create()
    EntryFactory.create(supersedes=entry)
    with refused():
        EntryFactory.create(supersedes=entry)


def test_an_entry_cannot_supersede_itself() -> None:
    entry = EntryFactory.create()
    entry.supersedes = entry
    with refused():
        entry.save(update_fields=["supersedes"])


def test_an_entry_of_impact_has_a_still() -> None:
    with refused():
        EntryFactory.create(kind="impact", still=None)


def test_an_entry_of_another_station_needs_none() -> None:
    assert EntryFactory.create(kind="putting", still=None).still is None


@pytest.mark.parametrize("side", ["width_px", "height_px"])
def test_a_still_has_a_size(side: str) -> None:
    with refused():
        StillFactory.create(**{side: 0})


def test_a_picture_is_there_once_a_phase() -> None:
    still = StillFactory.create()
    with refused():
        StillFactory.create(enrolment=still.enrolment, sha256=still.sha256)


def test_the_same_picture_may_serve_another_phase() -> None:
    still = StillFactory.create()
    StillFactory.create(enrolment=still.enrolment, sha256=still.sha256, phase="exit")
    assert Still.objects.count() == 2


def test_a_measure_is_given_once_an_entry() -> None:
    measure = MeasureFactory.create()
    with refused():
        MeasureFactory.create(entry=measure.entry, name=measure.name)


def test_an_uncertainty_is_never_negative() -> None:
    with refused():
        MeasureFactory.create(standard_uncertainty=-0.1)


def test_a_measure_names_its_source() -> None:
    with refused():
        MeasureFactory.create(source="")


def test_a_measure_may_say_that_its_worth_is_not_known() -> None:
    assert MeasureFactory.create(standard_uncertainty=None).low is None
