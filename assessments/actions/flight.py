"""Recording what an instrument's table says, one entry a club."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID, uuid5

from assessments.actions.entries import fingerprint, record_entry
from assessments.models import Entry
from assessments.stations import registry
from assessments.stations.base import Context, Payload
from lessons.models import Session
from school.models import Account, Enrolment

SAME_SHOTS = UUID("6f5c3f0e-5b0a-5c11-9a53-0d3a1f5c7b52")


@dataclass(frozen=True)
class Recorded:
    """The entries that stand for a table; `known` of them had been recorded before."""

    entries: tuple[Entry, ...]
    known: int


def record_table(
    *,
    enrolment: Enrolment,
    session: Session,
    kind: str,
    payloads: Sequence[Payload],
    recorded_by: Account,
) -> Recorded:
    """Record each payload as an entry of its own; the same shots of an attendee only ever once.

    An entry's id is made from what it says, so a table that is sent again, whole or in part, from
    whichever device, doubles nothing, and one that broke off is completed. Nothing is recorded
    before all payloads are judged.

    Raises what `record_entry` raises.
    """
    phase = session.visit.phase
    for payload in payloads:
        registry()[kind].compute(payload, Context())
    wanted = {_id_of(enrolment, kind, phase, payload): payload for payload in payloads}
    known = Entry.objects.filter(pk__in=wanted).count()
    entries = [
        record_entry(
            id=pk,
            enrolment=enrolment,
            kind=kind,
            phase=phase,
            payload=payload,
            recorded_by=recorded_by,
            session=session,
        )
        for pk, payload in wanted.items()
    ]
    return Recorded(tuple(entries), known)


def _id_of(enrolment: Enrolment, kind: str, phase: str, payload: Payload) -> UUID:
    return uuid5(SAME_SHOTS, f"{enrolment.pk} {kind} {phase} {fingerprint(payload)}")
