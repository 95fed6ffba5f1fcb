"""Recording what an instrument's table says, one entry a club."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID, uuid5

from assessments.actions.entries import fingerprint, record_entry
from assessments.clubs import club_of
from assessments.models import Entry
from assessments.stations import registry
from assessments.stations.base import Context, Payload
from lessons.models import Session
from school.models import Account, Enrolment

FEWEST_NUMBERS = 4
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
    whichever device, doubles nothing, and one that broke off is completed. Of a table that has
    grown below what was recorded from it only the new shots are. Nothing is recorded before all
    payloads are judged.

    Raises what `record_entry` raises.
    """
    phase = session.visit.phase
    for payload in payloads:
        registry()[kind].compute(payload, Context())
    before = list(Entry.objects.filter(enrolment=enrolment, kind=kind, phase=phase))
    wanted, known = {}, []
    for payload in payloads:
        stood, rest = _new_shots(payload, before)
        known += stood
        if rest["shots"]:
            wanted[_id_of(enrolment, kind, phase, rest)] = rest
    known += [entry for entry in before if entry.pk in wanted]
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
    entries += [entry for entry in known if entry.pk not in wanted]
    return Recorded(tuple(entries), len(known))


def _new_shots(payload: Payload, before: Sequence[Entry]) -> tuple[list[Entry], Payload]:
    """The earlier entries that the shots begin with, and the payload with what comes after them."""
    stood, shots = [], payload["shots"]
    for entry in before:
        first = entry.payload["shots"]
        is_start = len(first) <= len(shots) and first == shots[: len(first)]
        if is_start and _is_no_chance(first) and club_of(entry.payload) == club_of(payload):
            stood.append(entry)
            shots = shots[len(first) :]
    return stood, {**payload, "shots": shots}


def _is_no_chance(shots: Sequence[Mapping[str, float]]) -> bool:
    """Whether so many numbers are alike only in the very same shots."""
    return sum(map(len, shots)) >= FEWEST_NUMBERS


def _id_of(enrolment: Enrolment, kind: str, phase: str, payload: Payload) -> UUID:
    return uuid5(SAME_SHOTS, f"{enrolment.pk} {kind} {phase} {fingerprint(payload)}")
