"""How far the reports of a school are, and what each attendee still lacks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from assessments.models import Entry, Report
from assessments.stations import registry
from lessons.models import Phase, Visit
from school.models import Enrolment, School

TONES = {
    Report.State.QUEUED: "quiet",
    Report.State.RUNNING: "info",
    Report.State.DONE: "good",
    Report.State.PARKED: "attention",
}


@dataclass(frozen=True)
class ReportRow:
    """One attendee's line: the current report, if any, and what has not been recorded."""

    enrolment: Enrolment
    report: Report | None
    tone: str
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Progress:
    """A school's reports by attendee; `finished` counts the ready and the stopped."""

    rows: tuple[ReportRow, ...]

    @property
    def total(self) -> int:
        return sum(row.report is not None for row in self.rows)

    @property
    def finished(self) -> int:
        return sum(row.report is not None and row.report.is_finished for row in self.rows)

    @property
    def stopped(self) -> int:
        parked = Report.State.PARKED
        return sum(row.report is not None and row.report.state == parked for row in self.rows)

    @property
    def at_work(self) -> bool:
        return self.finished < self.total


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


def progress(school: School) -> Progress:
    """Every seated attendee of a school by seat. 4 queries."""
    enrolments = list(
        school.enrolments.filter(state=Enrolment.State.SEATED)
        .select_related("golfer")
        .order_by("seat")
    )
    current = {
        report.enrolment_id: report
        for report in Report.objects.filter(enrolment__in=enrolments, is_current=True)
    }
    recorded: defaultdict[int, set[tuple[str, str]]] = defaultdict(set)
    entries = Entry.objects.filter(enrolment__in=enrolments, superseded_by__isnull=True)
    for enrolment, kind, phase in entries.values_list("enrolment", "kind", "phase").distinct():
        recorded[enrolment].add((kind, phase))
    wanted = _wanted(school)
    rows = []
    for one in enrolments:
        missing = tuple(each.name for each in wanted if not each.is_in(recorded[one.pk]))
        report = current.get(one.pk)
        tone = TONES[Report.State(report.state)] if report else "quiet"
        rows.append(ReportRow(one, report, tone, missing))
    return Progress(tuple(rows))


def _wanted(school: School) -> list[_Wanted]:
    visits = Visit.objects.filter(programme=school.programme_id).exclude(phase=Phase.PRACTICE)
    asked = visits.values_list("station__entry_kind", "phase").order_by("position", "pk")
    return [_Wanted(kind, phase) for kind, phase in dict.fromkeys(asked) if kind in registry()]
