"""Recording what was measured or written at a station."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from uuid import UUID

from django.db.models import QuerySet

from assessments.actions.recording import lock_attendee, refuse_unless_filmed, refuse_unless_taught
from assessments.errors import EntryConflict, EntryRefused
from assessments.models import Entry, Measure, Still
from assessments.stations import registry
from assessments.stations.base import Computed, Context, Payload, StationModule
from lessons.models import Phase, Session
from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.models import Account, Enrolment, School


def record_entry(
    *,
    id: UUID,  # noqa: A002
    enrolment: Enrolment,
    kind: str,
    phase: str,
    payload: Payload,
    recorded_by: Account,
    session: Session | None = None,
    still: Still | None = None,
    supersedes: Entry | None = None,
) -> Entry:
    """Record one entry with its measures; sending the same one again changes nothing.

    A correction names the entry that it supersedes, which stays. It is taken after the school has
    closed too, as is what arrives late from a place without a network; the trail says so.

    Raises EntryRefused or StillRefused if the payload cannot be right, EntryConflict if the id
    holds something else or somebody recorded or corrected the same meanwhile, ConsentMissing for
    a still without consent to filming, NotTaughtHere, NotEnrolled.
    """
    station = registry().get(kind)
    if station is None or phase not in Phase.values:
        raise EntryRefused({"kind": f"There is no station for {kind} at {phase}."})
    context, sent = Context(still), payload
    if station.settings is not None:
        payload = {**station.settings(context), **sent}
    computed = station.compute(payload, context)
    wanted = Entry(
        id=id,
        enrolment=enrolment,
        kind=kind,
        phase=phase,
        session=session,
        still=still,
        payload=payload,
        payload_sha256=fingerprint(sent),
        supersedes=supersedes,
        warnings=list(computed.warnings),
        recorded_by=recorded_by,
    )

    return in_a_fresh_transaction(lambda: _record(wanted, station, computed))


def _record(wanted: Entry, station: StationModule, computed: Computed) -> Entry:
    attendee = lock_attendee(wanted.enrolment)
    known = Entry.objects.filter(pk=wanted.pk).first()
    if known is not None:
        return _same_or_conflict(known, wanted)
    assert wanted.recorded_by is not None  # the action's own argument
    refuse_unless_taught(attendee, wanted.recorded_by)
    if wanted.still is not None:
        refuse_unless_filmed(attendee)
    _refuse_mismatch(wanted, station)
    _refuse_overtaken(wanted, station)
    return _write(wanted, computed, attendee.school)


def fingerprint(payload: Payload) -> str:
    """The same for the same content, whatever the order of its keys."""
    text = json.dumps(payload, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _same_or_conflict(known: Entry, wanted: Entry) -> Entry:
    columns = ("enrolment_id", "kind", "phase", "still_id", "supersedes_id", "payload_sha256")
    if any(getattr(known, column) != getattr(wanted, column) for column in columns):
        raise EntryConflict(
            "This form was saved before with other content, which stands. "
            "What is typed here is kept: save it once more to record it as well.",
            known,
        )
    return known


def _refuse_mismatch(wanted: Entry, station: StationModule) -> None:
    """Refuse parts that belong to another attendee, station or school."""
    still, session, older = wanted.still, wanted.session, wanted.supersedes
    if still is None and station.needs_still:
        raise EntryRefused({"still": f"{station.title} is recorded on a still. Choose one."})
    if still is not None and not (station.needs_still or station.takes_still):
        raise EntryRefused({"still": f"{station.title} is recorded without a still."})
    if still is not None and still.enrolment_id != wanted.enrolment_id:
        raise EntryRefused({"still": "The still is of somebody else."})
    if still is not None and station.needs_still and still.phase != wanted.phase:
        raise EntryRefused({"still": "The still is of another day."})
    if session is not None and session.plan.school_id != wanted.enrolment.school_id:
        raise EntryRefused({"session": "The session belongs to another school."})
    if older is not None and _place(older, station) != _place(wanted, station):
        raise EntryRefused({"supersedes": "A correction is of the same attendee and station."})


def _place(entry: Entry, station: StationModule) -> dict[str, object]:
    """What an entry has in common with its corrections; a still beside it may be changed."""
    place = {"enrolment": entry.enrolment_id, "kind": entry.kind, "phase": entry.phase}
    return place | {"still": entry.still_id} if station.needs_still else place


def _refuse_overtaken(wanted: Entry, station: StationModule) -> None:
    """Refuse what does not follow on what stands now."""
    if wanted.supersedes:
        standing: Entry | None = _newest(wanted.supersedes, station)
    else:
        standing = _only_one(wanted, station)
    if standing is not None and standing.pk != wanted.supersedes_id:
        did = "corrected" if wanted.supersedes else "recorded"
        raise EntryConflict(
            f"{standing.recorded_by} has {did} this meanwhile. What is typed here is kept: "
            "compare it with what stands, and save once more to correct it.",
            standing,
        )


def _newest(entry: Entry, station: StationModule) -> Entry:
    """The end of the chain of corrections that starts at `entry`. One query."""
    corrections = _at_the_place_of(entry, station).filter(supersedes__isnull=False)
    following = {each.supersedes_id: each for each in corrections}
    while entry.pk in following:
        entry = following[entry.pk]
    return entry


def _only_one(wanted: Entry, station: StationModule) -> Entry | None:
    """The entry that stands where only one may."""
    if station.repeats and not station.needs_still:
        return None
    return _at_the_place_of(wanted, station).filter(superseded_by__isnull=True).first()


def _at_the_place_of(entry: Entry, station: StationModule) -> QuerySet[Entry]:
    return Entry.objects.filter(**_place(entry, station)).select_related("recorded_by")


def _write(entry: Entry, computed: Computed, school: School) -> Entry:
    entry.save(force_insert=True)
    Measure.objects.bulk_create(
        Measure(entry=entry, **asdict(value)) for value in computed.measures
    )
    note(
        actor=entry.recorded_by,
        verb="correct_entry" if entry.supersedes_id else "record_entry",
        subject=entry,
        kind=entry.kind,
        phase=entry.phase,
        enrolment=entry.enrolment_id,
        supersedes=str(entry.supersedes_id) if entry.supersedes_id else None,
        after_closing=school.state == School.State.CLOSED,
    )
    return entry
