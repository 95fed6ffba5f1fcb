from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest

from assessments.actions.entries import fingerprint, record_entry
from assessments.actions.stills import add_still
from assessments.errors import EntryConflict, EntryRefused, NotTaughtHere
from assessments.impact.errors import StillRefused
from assessments.models import Entry, Measure, Still
from lessons.models import Session
from school.errors import ConsentMissing, NotEnrolled
from school.models import Account, AuditEntry, Enrolment, School
from tests.assessments.factories import (
    StillFactory,
    attendee_of,
    marking,
    putts,
    rendering,
    session_at,
)
from tests.factories import EnrolmentFactory, consented
from tests.lessons.factories import SessionFactory, instructor_for

pytestmark = pytest.mark.django_db
Record = Callable[..., Entry]
FLIGHT = {"club_class": "iron", "shots": [{"carry_m": 120.0}, {"carry_m": 130.0}]}


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "putting")


@pytest.fixture
def attendee(session: Session) -> Enrolment:
    return attendee_of(session)


@pytest.fixture
def record(attendee: Enrolment, session: Session, instructor: Account) -> Record:
    def act(payload: dict[str, Any] | None = None, **changes: Any) -> Entry:
        wanted: dict[str, Any] = {
            "id": uuid4(),
            "enrolment": attendee,
            "kind": "putting",
            "phase": "intake",
            "payload": payload or putts(9, 5, 3),
            "recorded_by": instructor,
            "session": session,
        }
        return record_entry(**(wanted | changes))

    return act


@pytest.fixture
def still(attendee: Enrolment, instructor: Account) -> Still:
    return add_still(
        id=uuid4(),
        enrolment=consented(attendee),
        phase="intake",
        club_class="iron",
        shot_kind="full",
        upload=rendering(),
        uploaded_by=instructor,
    )


def test_an_entry_is_recorded_with_its_measures(record: Record, instructor: Account) -> None:
    entry = Entry.objects.get(pk=record().pk)
    assert (entry.recorded_by, entry.payload) == (instructor, putts(9, 5, 3))
    rate = entry.measures.get(name="make_rate_2m")
    assert (rate.value, rate.unit, rate.source) == (50, "%", "5 of 10 holed; Wilson's interval")
    assert rate.standard_uncertainty == pytest.approx(13.4, abs=0.1)


def test_a_still_is_measured_and_its_doubts_kept(record: Record, still: Still) -> None:
    payload = marking()
    payload["landmarks"]["trail_shoulder"] = [900, 300]
    entry = record(payload, kind="impact", still=still)
    assert entry.warnings == ["handedness_doubtful"]
    assert entry.measures.get(name="forearm_line_offset_bd").value == pytest.approx(2.385, abs=1e-3)
    assert {"bd", "mm", "deg", "px"} == set(entry.measures.values_list("unit", flat=True))


def test_sending_it_twice_records_it_once(record: Record) -> None:
    pk = uuid4()
    assert record(id=pk) == record(id=pk)
    assert (Entry.objects.count(), Measure.objects.count()) == (1, 3)
    assert AuditEntry.objects.filter(verb="record_entry").count() == 1


def test_it_may_be_sent_again_after_the_right_has_ended(
    record: Record, session: Session, other_instructor: Account
) -> None:
    pk = record().pk
    Session.objects.filter(pk=session.pk).update(instructor=instructor_for(other_instructor))
    assert record(id=pk).pk == pk


@pytest.mark.parametrize("change", [{"payload": putts(9, 6, 3)}, {"phase": "exit"}])
def test_one_id_stands_for_one_content(record: Record, change: dict[str, Any]) -> None:
    entry = record()
    with pytest.raises(EntryConflict, match="other content") as conflict:
        record(id=entry.pk, **change)
    assert conflict.value.standing == entry
    assert Entry.objects.get().payload == putts(9, 5, 3)


def test_the_order_of_keys_does_not_matter() -> None:
    assert fingerprint({"a": 1, "b": [2]}) == fingerprint({"b": [2], "a": 1})
    assert fingerprint({"a": 1}) != fingerprint({"a": 2})


def test_a_correction_supersedes_and_the_old_one_stays(record: Record) -> None:
    first = record()
    second = record(putts(9, 6, 3), supersedes=first)
    assert Entry.objects.get(superseded_by__isnull=True) == second
    assert first.measures.get(name="make_rate_2m").value == 50
    assert AuditEntry.objects.get(verb="correct_entry").detail["supersedes"] == str(first.pk)


def test_of_two_corrections_the_second_learns_of_the_first(
    record: Record, other_instructor: Account, session: Session
) -> None:
    SessionFactory.create(plan=session.plan, instructor=instructor_for(other_instructor))
    entry = record()
    theirs = record(putts(9, 6, 3), supersedes=entry, recorded_by=other_instructor)
    with pytest.raises(EntryConflict, match="Oren Other has corrected this") as conflict:
        record(putts(9, 7, 3), supersedes=entry)
    assert conflict.value.standing == theirs


def test_two_instructors_cannot_both_record_what_stands_once(record: Record) -> None:
    entry = record()
    with pytest.raises(EntryConflict, match="Ines Instructor has recorded this") as conflict:
        record(putts(1, 1, 1))
    assert conflict.value.standing == entry


def test_several_clubs_and_swings_stand_side_by_side(record: Record) -> None:
    record(FLIGHT, kind="ball_flight")
    record(FLIGHT, kind="ball_flight")
    assert Entry.objects.count() == 2


def test_a_still_has_one_entry_that_stands(record: Record, still: Still) -> None:
    first = record(marking(), kind="impact", still=still)
    with pytest.raises(EntryConflict):
        record(marking(), kind="impact", still=still)
    assert record(marking(), kind="impact", still=still, supersedes=first).supersedes == first


def test_what_cannot_be_right_is_refused_and_leaves_nothing(record: Record, still: Still) -> None:
    with pytest.raises(EntryRefused):
        record(putts(11))
    with pytest.raises(StillRefused):
        record({"landmarks": {}, "click_sd_px": 1.5}, kind="impact", still=still)
    assert Entry.objects.count() == 0


@pytest.mark.parametrize("change", [{"kind": "archery"}, {"phase": "lunch"}])
def test_a_station_or_phase_that_is_not_there(record: Record, change: dict[str, str]) -> None:
    with pytest.raises(EntryRefused, match="no station"):
        record(**change)


def test_parts_must_belong_together(record: Record, attendee: Enrolment, still: Still) -> None:
    other = EnrolmentFactory.create(school=attendee.school)
    for change in (
        {"still": still},
        {"kind": "impact", "payload": marking(), "still": StillFactory.create(enrolment=other)},
        {"kind": "impact", "payload": marking(), "still": still, "phase": "exit"},
        {"session": SessionFactory.create()},
        {"supersedes": record(FLIGHT, kind="ball_flight")},
    ):
        with pytest.raises((EntryRefused, ConsentMissing)):
            record(**change)


def test_another_schools_instructor_may_not(record: Record, other_instructor: Account) -> None:
    with pytest.raises(NotTaughtHere):
        record(recorded_by=other_instructor)


def test_the_lead_instructor_may_without_a_session(record: Record, attendee: Enrolment) -> None:
    assert record(recorded_by=attendee.school.lead_instructor.account, session=None).session is None


def test_nothing_is_recorded_of_who_gave_up_the_seat(record: Record, attendee: Enrolment) -> None:
    attendee.state, attendee.seat = Enrolment.State.CANCELLED, None
    attendee.cancelled_at = attendee.enrolled_at
    attendee.save(update_fields=["state", "seat", "cancelled_at"])
    with pytest.raises(NotEnrolled):
        record()


def test_a_still_is_not_measured_once_consent_is_taken_back(
    record: Record, still: Still, attendee: Enrolment
) -> None:
    attendee.consents.update(withdrawn_at="2027-05-07T12:00Z")
    with pytest.raises(ConsentMissing):
        record(marking(), kind="impact", still=still)


def test_after_closing_it_is_still_taken_and_the_trail_says_so(
    record: Record, attendee: Enrolment
) -> None:
    before = record()
    School.objects.update(state="closed", closed_at="2027-05-10T09:00Z")
    record(putts(9, 6, 3), supersedes=before)
    trail = AuditEntry.objects.order_by("pk")
    assert [entry.detail["after_closing"] for entry in trail] == [False, True]
