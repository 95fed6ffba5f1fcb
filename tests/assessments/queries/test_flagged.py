"""What a screen flags is for a licensed professional, and not for a practice plan."""

import pytest

from assessments.models import Entry
from assessments.queries.found import found_of
from assessments.queries.practice import needs_for
from school.models import Enrolment
from tests.assessments.factories import EntryFactory, MeasureFactory
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db
HIP = "hip_internal_rotation_lead"


def screened(enrolment: Enrolment, value: float, *warnings: str, phase: str = "intake") -> Entry:
    entry: Entry = EntryFactory.create(
        enrolment=enrolment, kind="physical", phase=phase, payload={}, warnings=list(warnings)
    )
    MeasureFactory.create(
        entry=entry,
        name=f"{HIP}_deg",
        value=value,
        unit="deg",
        low=value - 7.8,
        high=value + 7.8,
        standard_uncertainty=4,
    )
    return entry


@pytest.mark.parametrize(("warnings", "needs"), [((), 1), ((f"low_{HIP}",), 0)])
def test_what_is_flagged_is_not_to_be_practised(warnings: tuple[str, ...], needs: int) -> None:
    enrolment = EnrolmentFactory.create(golfer__handicap_index=None)
    screened(enrolment, 10, *warnings)
    assert len(needs_for(enrolment)) == needs
    assert len(found_of(enrolment).ranking.faults) == needs


def test_pain_of_any_day_keeps_the_whole_screen_from_being_practised() -> None:
    enrolment = EnrolmentFactory.create(golfer__handicap_index=None)
    screened(enrolment, 60, "pain_trunk_rotation_lead")
    screened(enrolment, 10, phase="exit")
    assert needs_for(enrolment) == ()


def test_a_correction_without_a_warning_lifts_it() -> None:
    enrolment = EnrolmentFactory.create(golfer__handicap_index=None)
    wrong = screened(enrolment, 10, "pain_trunk_rotation_lead")
    corrected = screened(enrolment, 10)
    Entry.objects.filter(pk=corrected.pk).update(supersedes=wrong)
    assert len(needs_for(enrolment)) == 1


def test_the_findings_say_each_warning_once() -> None:
    enrolment = EnrolmentFactory.create(golfer__handicap_index=None)
    for phase in ("intake", "exit"):
        screened(enrolment, 10, f"low_{HIP}", phase=phase)
    assert found_of(enrolment).flagged == (
        "Hip turned inward, lead side: less than is usual. See a licensed professional before it "
        "is worked on.",
    )
