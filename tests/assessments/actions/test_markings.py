"""A still marked once more: kept beside the entry, and never as one."""

from typing import Any
from uuid import uuid4

import pytest

from assessments.actions.markings import record_marking
from assessments.errors import EntryRefused, MarkingConflict, NotTaughtHere, StudyRefused
from assessments.impact.errors import StillRefused
from assessments.impact.geometry import StillGeometry
from assessments.models import Entry, Marking, Still, Study
from lessons.models import Session
from school.errors import ConsentMissing
from school.models import Account, AuditEntry
from tests.assessments.factories import (
    StillFactory,
    StudyFactory,
    attendee_of,
    marks_of,
    session_at,
)
from tests.assessments.impact.test_two_frames import pair
from tests.factories import consented

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "impact")


@pytest.fixture
def still(session: Session) -> Still:
    made: Still = StillFactory.create(enrolment=consented(attendee_of(session)))
    return made


def points_of(geometry: StillGeometry) -> dict[str, list[float]]:
    return {str(mark): [point.u, point.v] for mark, point in geometry.landmarks.items()}


def marked(still: Still, by: Account, marks: Any = None, **more: Any) -> Marking:
    payload = {"landmarks": marks or marks_of()}
    return record_marking(
        **{"id": uuid4(), "still": still, "payload": payload, "marked_by": by, **more}
    )


def test_a_marking_keeps_its_values_by_name_and_what_was_known_of_the_place(
    still: Still, instructor: Account
) -> None:
    kept = Marking.objects.get(pk=marked(still, instructor).pk)
    assert kept.values["forearm_line_offset_bd"] == pytest.approx(2.4, abs=0.1)
    assert kept.payload["click_sd_px"] == 1.5
    assert (kept.study, kept.turn, kept.marked_by) == (None, 1, instructor)
    assert Entry.objects.count() == 0


def test_sending_it_twice_keeps_it_once(still: Still, instructor: Account) -> None:
    number = uuid4()
    first, second = (marked(still, instructor, id=number) for _ in range(2))
    assert first == second
    assert Marking.objects.count() == AuditEntry.objects.filter(verb="mark_again").count() == 1


def test_other_marks_under_the_same_number_are_refused(still: Still, instructor: Account) -> None:
    first = marked(still, instructor)
    with pytest.raises(MarkingConflict, match="stand"):
        marked(still, instructor, marks_of() | {"lead_elbow": [700.0, 300.0]}, id=first.pk)
    assert Marking.objects.get().payload["landmarks"] == marks_of()


def test_one_frame_is_not_the_same_as_two(still: Still, instructor: Account) -> None:
    before, at = (points_of(frame) for frame in pair(240, 0.4))
    both = {"landmarks": at, "landmarks_before": before}
    first = record_marking(id=uuid4(), still=still, payload=both, marked_by=instructor)
    with pytest.raises(MarkingConflict, match="stand"):
        marked(still, instructor, at, id=first.pk)


def test_a_still_may_be_marked_again_and_again(still: Still, instructor: Account) -> None:
    for _ in range(3):
        marked(still, instructor)
    assert still.markings.count() == 3


@pytest.mark.parametrize(
    ("marks", "refused"), [({"lead_wrist": [1, 2]}, StillRefused), ("no marks", EntryRefused)]
)
def test_marks_that_cannot_be_right_are_refused(
    still: Still, instructor: Account, marks: Any, refused: type[Exception]
) -> None:
    with pytest.raises(refused):
        marked(still, instructor, marks)
    assert Marking.objects.count() == 0


def test_who_does_not_teach_there_marks_nothing(still: Still, other_instructor: Account) -> None:
    with pytest.raises(NotTaughtHere):
        marked(still, other_instructor)


def test_without_consent_nothing_is_marked(still: Still, instructor: Account) -> None:
    still.enrolment.consents.all().delete()
    with pytest.raises(ConsentMissing):
        marked(still, instructor)


@pytest.fixture
def study(still: Still) -> Study:
    made: Study = StudyFactory.create(markings_wanted=2)
    made.stills.create(still=still, order=1)
    return made


def test_one_marking_a_turn_joins_a_study(still: Still, study: Study, instructor: Account) -> None:
    kept = marked(still, instructor, study=study, turn=2)
    assert (kept.study, kept.turn) == (study, 2)
    with pytest.raises(MarkingConflict, match="Go on to the next"):
        marked(still, instructor, study=study, turn=2)


def test_a_still_that_the_study_did_not_draw_is_refused(study: Study, instructor: Account) -> None:
    other = StillFactory.create(enrolment=study.stills.get().still.enrolment)
    with pytest.raises(StudyRefused):
        marked(other, instructor, study=study)
