"""Everything a report says, read from the database in one go, as plain values.

Nothing after this step touches the database, so that a render that dies or lasts too long holds
nothing and changes nothing.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from assessments.impact.filmed import Filming
from assessments.impact.geometry import StillGeometry
from assessments.models import Entry
from assessments.queries.entries import current_entries, measures_by_name
from assessments.queries.findings import (
    SI,
    Finding,
    Group,
    Phases,
    Side,
    findings_from,
    groups_in,
    reasons_kept_out,
    rows_of,
    side_of,
)
from assessments.queries.placings import Placing, placings_from
from assessments.queries.practice import TakeHomePlan, plans_of
from assessments.queries.ranking import Ranking, ranked
from assessments.reports.errors import NothingMeasured
from assessments.stations import kinds_on_stills, registry
from assessments.stations.base import MeasureKind, Measures, Payload
from assessments.stations.impact import known_of
from assessments.units import Units, units_of
from lessons.models import Phase
from school.clock import today_at
from school.models import Enrolment, Language, Paper, School

HEADLINES = 3


@dataclass(frozen=True)
class Picture:
    """A still with its marks; `file` is its name in the private storage, `title` says which.

    `before` and `filming` are what else it is measured by.
    """

    title: str
    file: str
    geometry: StillGeometry
    before: StillGeometry | None = None
    filming: Filming | None = None


@dataclass(frozen=True)
class Shown:
    """One side of a pair of stills; `of` swings were measured, this one lies nearest their mean.

    `measures` are those of this very still.
    """

    picture: Picture
    taken_on: date
    of: int
    doubts: tuple[str, ...]
    measures: Measures


@dataclass(frozen=True)
class Club:
    """The stills of one class of club, intake beside exit, with what was found."""

    group: Group
    intake: Shown | None
    exit: Shown | None
    findings: tuple[Finding, ...]
    verdicts: tuple[str, ...]
    judged: str  # the phase that the verdicts speak of

    @property
    def swings(self) -> int:
        return sum(shown.of for shown in (self.intake, self.exit) if shown is not None)


@dataclass(frozen=True)
class StationResult:
    """What another station found of one group: compared, or measured in one phase alone.

    `drawn` are the payloads of intake and exit if the station has a drawing of them, and `doubts`
    the codes of what is doubtful or wants a look from somebody else.
    """

    group: Group
    findings: tuple[Finding, ...]
    practised: tuple[Practised, ...]
    drawn: tuple[Payload | None, Payload | None] | None
    doubts: tuple[str, ...]


@dataclass(frozen=True)
class Practised:
    """A measure of a station that was visited between the first day and the last."""

    measure: MeasureKind
    side: Side


@dataclass(frozen=True)
class Paragraph:
    text: str
    by: str


@dataclass(frozen=True)
class Edition:
    """Which version a report is, the day of the version it replaces, and who signed it when."""

    version: int
    replaces: date | None
    signed_by: str
    signed_on: date | None


@dataclass(frozen=True)
class ReportContents:
    """What a report says. Without an edition it is a look at what one would say."""

    golfer: str
    school: str
    programme: str
    venue: str
    starts_on: date
    ends_on: date
    coach: str
    made_on: date
    is_demo: bool
    headlines: tuple[Finding, ...]
    clubs: tuple[Club, ...]
    stations: tuple[StationResult, ...]
    paragraph: Paragraph | None
    plan: TakeHomePlan | None = None
    placings: tuple[Placing, ...] = ()
    units: Units = SI
    language: str = Language.ENGLISH
    paper: str = Paper.A4
    version: int | None = None
    replaces: date | None = None
    signed_by: str = ""
    signed_on: date | None = None

    @property
    def is_compared(self) -> bool:
        return any(finding.change is not None for finding in self.headlines)

    @property
    def is_measured(self) -> bool:
        return bool(self.clubs or self.stations)

    @property
    def ranking(self) -> Ranking:
        """Strengths and what costs most, of everything that was found."""
        of_clubs = (one for club in self.clubs for one in club.findings)
        of_stations = (one for station in self.stations for one in station.findings)
        return ranked([*of_clubs, *of_stations], self.placings)


def gather(enrolment: Enrolment, *, edition: Edition | None = None) -> ReportContents:
    """Read everything the attendee's report says. 1 query more than `gather_all`.

    That is for how the golfer stands beside others. It is no part of what is signed, as it moves
    whenever somebody else is measured.

    Raises
    ------
    NothingMeasured
        If nothing was recorded at all.
    """
    found = next(iter(_gathered([enrolment])), None)
    if found is None:
        raise NothingMeasured(
            f"Nothing was recorded for {enrolment.golfer}. "
            "Record what was measured, then ask for the report again."
        )
    _, entries, contents = found
    placings = placings_from(entries, entries[0].enrolment.golfer)
    more = vars(edition) if edition else {}
    return replace(contents, placings=tuple(placings), **more)


def gather_all(enrolments: Iterable[Enrolment]) -> dict[int, ReportContents]:
    """What each attendee's report says, by enrolment; nothing where nothing was recorded.

    How golfers stand beside others is left to `gather`. 6 queries, 2 fewer without any practice
    plan, and 1 more for the studies of filming places if stills were filmed at any.
    """
    return {pk: contents for pk, _, contents in _gathered(enrolments)}


def _gathered(
    enrolments: Iterable[Enrolment],
) -> Iterator[tuple[int, list[Entry], ReportContents]]:
    attendees = Enrolment.objects.select_related(
        "golfer", "school__programme", "school__lead_instructor__account"
    ).in_bulk([enrolment.pk for enrolment in enrolments])
    entries: defaultdict[int, list[Entry]] = defaultdict(list)
    for entry in current_entries(attendees.values()).select_related("session"):
        entries[entry.enrolment_id].append(entry)
    plans = plans_of(attendees.values())
    for pk, found in entries.items():
        yield pk, found, _contents(attendees[pk], found, plans.get(pk))


def _contents(
    attendee: Enrolment, entries: Sequence[Entry], plan: TakeHomePlan | None
) -> ReportContents:
    golfer, school = attendee.golfer, attendee.school
    units = units_of(golfer)
    findings = findings_from(entries, units)
    clubs, stations = _parts(school, entries, findings)
    paragraph = _paragraph(entries)
    return ReportContents(
        golfer=golfer.full_name,
        school=school.name,
        programme=school.programme.name,
        venue=school.venue,
        starts_on=school.starts_on,
        ends_on=school.ends_on,
        coach=(paragraph.by if paragraph else "") or str(school.lead_instructor),
        made_on=today_at(school),
        is_demo=school.is_demo,
        headlines=_headlines(findings),
        clubs=clubs,
        stations=stations,
        paragraph=paragraph,
        plan=plan,
        units=units,
        language=golfer.language,
        paper=school.paper,
    )


def _headlines(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The primary measure first, whatever it says; then the strongest of each other station.

    Taking the strongest of all would fill the page with one station's measures, which move
    together, and would leave out the one the school is about when it did not change.
    """
    ranked = sorted(findings, key=lambda one: (not one.measure.primary, -one.weight))
    by_station = {one.group.kind: one for one in reversed(ranked)}
    first = sorted(by_station.values(), key=ranked.index)
    rest = [one for one in ranked if one not in first and one.change is not None]
    return tuple([*first, *rest][:HEADLINES])


def _parts(
    school: School, entries: Sequence[Entry], findings: Sequence[Finding]
) -> tuple[tuple[Club, ...], tuple[StationResult, ...]]:
    clubs, stations = [], []
    for group, phases in groups_in(entries, Phase.values).items():
        found = tuple(finding for finding in findings if finding.group == group)
        if group.kind in kinds_on_stills():
            if found:
                clubs.append(_club(school, group, phases, found))
        elif group.kind in registry():
            station = _station(group, phases, found)
            if station.findings or station.practised or station.doubts:
                stations.append(station)
    # the club that was filmed most speaks for the golfer, on the cover too
    clubs.sort(key=lambda club: (club.group.is_specialty, -club.swings))
    return tuple(clubs), tuple(stations)


def _club(school: School, group: Group, phases: Phases, findings: tuple[Finding, ...]) -> Club:
    primary = next((one for one in findings if one.measure.primary), None)
    intake, exit_ = (
        _shown(school, group, phase, phases.get(phase, ()), primary)
        for phase in (Phase.INTAKE, Phase.EXIT)
    )
    judged = Phase.EXIT if _means(findings, Phase.EXIT) else Phase.INTAKE
    return Club(group, intake, exit_, findings, _verdicts(group, findings, judged), judged)


def _shown(
    school: School, group: Group, phase: Phase, entries: Sequence[Entry], primary: Finding | None
) -> Shown | None:
    """Of several stills the one that stands for the rest: not the best and not the last."""
    if not entries:
        return None
    sure = [entry for entry in entries if not reasons_kept_out(entry)]
    chosen = _nearest_mean(sure or entries, primary.measure.name if primary else "")
    still = chosen.still
    assert still is not None  # an entry of impact has one, by constraint
    picture = Picture(
        f"{phase} still with {group.club}", str(still.picture), *known_of(still, chosen.payload)
    )
    # what was entered late, without a network, was still taken in its session
    taken_at = chosen.session.starts_at if chosen.session else chosen.recorded_at
    taken_on = taken_at.astimezone(school.zone).date()
    doubts, measures = tuple(reasons_kept_out(chosen)), measures_by_name(chosen)
    return Shown(picture, taken_on, len(sure) or 1, doubts, measures)


def _nearest_mean(entries: Sequence[Entry], name: str) -> Entry:
    values = {
        entry.pk: row.value for entry in entries for row in entry.measures.all() if row.name == name
    }
    if not values:
        return entries[0]
    mean = math.fsum(values.values()) / len(values)
    return min(
        (entry for entry in entries if entry.pk in values),
        key=lambda entry: abs(values[entry.pk] - mean),
    )


def _station(group: Group, phases: Phases, findings: tuple[Finding, ...]) -> StationResult:
    station = registry()[group.kind]
    practised: tuple[Practised, ...] = ()
    if not findings:
        rows = phases.get(Phase.PRACTICE, ())
        sides = ((kind, side_of(kind, rows_of(rows, kind.name))) for kind in station.measures)
        practised = tuple(Practised(kind, side) for kind, side in sides if side is not None)
    drawn = None
    if station.drawing is not None:
        newest = (phases.get(phase, ())[-1:] for phase in (Phase.INTAKE, Phase.EXIT))
        intake, exit_ = (entry[0].payload if entry else None for entry in newest)
        drawn = intake, exit_
    codes = (code for entries in phases.values() for entry in entries for code in entry.warnings)
    return StationResult(group, findings, practised, drawn, tuple(dict.fromkeys(codes)))


def _verdicts(group: Group, findings: tuple[Finding, ...], phase: str) -> tuple[str, ...]:
    """What one side says, in sentences."""
    judge = registry()[group.kind].verdicts
    means = _means(findings, phase)
    return judge(means) if judge and means else ()


def _means(findings: tuple[Finding, ...], phase: str) -> Measures | None:
    sides = {one.measure.name: getattr(one, phase) for one in findings}
    return {name: side.mean for name, side in sides.items() if side is not None} or None


def _paragraph(entries: Sequence[Entry]) -> Paragraph | None:
    """The newest words of a coach, with the name of whoever wrote them."""
    stations = registry()
    for entry in reversed(entries):
        station = stations.get(entry.kind)
        if station is not None and station.words is not None:
            return Paragraph(station.words(entry.payload), str(entry.recorded_by or ""))
    return None
