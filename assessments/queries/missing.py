"""What a programme asks of every squad and has not been recorded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from assessments.models import Entry
from assessments.stations import registry
from lessons.models import Phase, Visit
from school.models import Enrolment, School


@dataclass(frozen=True)
class _Wanted:
    """Something the programme asks every squad for, e.g. the impact at intake."""

    kind: str
    phase: str

    @property
    def name(self) -> str:
        station = registry()[self.kind]
        return f"{station.title} at {self.phase}" if station.measures else station.title

    def is_in(self, recorded: set[tuple[str, str]]) -> bool:
        """What measures nothing, as a coach's words, may be written in any phase."""
        if registry()[self.kind].measures:
            return (self.kind, self.phase) in recorded
        return any(kind == self.kind for kind, _ in recorded)


def recorded_kinds(enrolments: Sequence[Enrolment]) -> dict[int, set[tuple[str, str]]]:
    """The kind and phase of all that stands, by enrolment; nothing where nothing does. 1 query."""
    recorded: defaultdict[int, set[tuple[str, str]]] = defaultdict(set)
    entries = Entry.objects.filter(enrolment__in=enrolments, superseded_by__isnull=True)
    for enrolment, kind, phase in entries.values_list("enrolment", "kind", "phase").distinct():
        recorded[enrolment].add((kind, phase))
    return dict(recorded)


def missing_of(
    school: School,
    enrolments: Sequence[Enrolment],
    recorded: dict[int, set[tuple[str, str]]] | None = None,
) -> dict[int, tuple[str, ...]]:
    """What each still lacks, by enrolment. 2 queries, 1 if `recorded` is here already."""
    if recorded is None:
        recorded = recorded_kinds(enrolments)
    wanted = _wanted(school)
    return {
        one.pk: tuple(each.name for each in wanted if not each.is_in(recorded.get(one.pk, set())))
        for one in enrolments
    }


def _wanted(school: School) -> list[_Wanted]:
    visits = Visit.objects.filter(programme=school.programme_id).exclude(phase=Phase.PRACTICE)
    asked = visits.values_list("station__entry_kind", "phase").order_by("position", "pk")
    return [_Wanted(kind, phase) for kind, phase in dict.fromkeys(asked) if kind in registry()]
