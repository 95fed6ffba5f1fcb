"""Intake beside exit, measure by measure, and what may honestly be said of the difference.

Clubs are never pooled: a driver and an iron are different tests. Specialty shots stand apart. A
still that is doubtful in itself is shown, says why, and stays out of every claim.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from assessments.clubs import club_of, club_title
from assessments.impact.errors import WARNING_WORDS, keeps_out
from assessments.models import ClubClass, Entry, Measure, ShotKind
from assessments.queries.entries import current_entries
from assessments.queries.sentences import doubtful, moved, not_measured, said_of, shows
from assessments.queries.spreads import Basis, basis_of
from assessments.stations import kinds_on_stills, registry
from assessments.stations.base import MeasureKind, MeasureValue, StationModule
from assessments.statistics.change import Change, Verdict, compare
from assessments.statistics.spreads import ONE_FRAME
from assessments.statistics.usual import arms
from assessments.units import Units, kind_in, unit_and_size, units_of
from lessons.models import Phase
from school.models import Enrolment

# One measure is held to 5 %, the rest to 1 %: five at 5 % claim something of every fourth golfer.
ALPHA_PRIMARY, ALPHA_OTHER = 0.05, 0.01
COMPARED = (Phase.INTAKE, Phase.EXIT)
SI = Units()


@dataclass(frozen=True, order=True)
class Group:
    """What belongs together: one station, one club (or none), one kind of shot.

    Where the very club is known it is `club_code`; of stills only its class is.
    """

    kind: str
    is_specialty: bool = False
    club_class: str = ""
    club_code: str = ""

    @property
    def club(self) -> str:
        """The club in words: `iron`, `7-iron`, `wedge, specialty shots`, or nothing."""
        label = club_title(self.club_code or self.club_class)
        return gettext("{club}, specialty shots").format(club=label) if self.is_specialty else label


@dataclass(frozen=True)
class Side:
    """One measure at intake or at exit: every value, and their mean with its worth.

    The worth comes from marking or counting alone; how far swings differ enters the comparison.
    """

    values: tuple[float, ...]
    mean: MeasureValue


@dataclass(frozen=True)
class Finding:
    """A measure compared; a side that was not measured, or only doubtfully, is None.

    `basis` is what a comparison of stills leans on; other stations bring their own intervals.
    `moved` is the difference in words, as the golfer reads it; empty where none is seen.
    """

    group: Group
    station_title: str
    measure: MeasureKind
    intake: Side | None
    exit: Side | None
    change: Change | None
    sentence: str
    basis: Basis | None = None
    moved: str = ""

    @property
    def weight(self) -> float:
        """How far the difference goes past what can be told apart; 1 is just past."""
        return abs(self.change.difference) / self.change.threshold if self.change else 0.0


Phases = Mapping[str, Sequence[Entry]]


def findings_for(enrolment: Enrolment) -> list[Finding]:
    """Every finding of one attendee, groups in order. 2 queries, 3 with a filming place."""
    return findings_from(current_entries([enrolment]), units_of(enrolment.golfer))


def findings_from(entries: Iterable[Entry], units: Units = SI) -> list[Finding]:
    """The findings in entries that are already here with their stills' places.

    Values stay in SI units; the sentences are in those that the golfer reads.
    """
    stations = registry()
    return [
        finding
        for group, phases in groups_in(entries).items()
        if group.kind in stations
        for finding in _of_group(group, stations[group.kind], phases, units)
    ]


def groups_in(entries: Iterable[Entry], phases: Sequence[str] = COMPARED) -> dict[Group, Phases]:
    """Entries by group and phase: intake and exit, as practice is never compared."""
    found: defaultdict[Group, dict[str, list[Entry]]] = defaultdict(lambda: defaultdict(list))
    for entry in entries:
        if entry.phase in phases:
            found[group_of(entry)][entry.phase].append(entry)
    return dict(sorted(found.items()))


def group_of(entry: Entry) -> Group:
    if entry.still is None or entry.kind not in kinds_on_stills():
        return group_of_payload(entry.kind, entry.payload.get("club_class"), club_of(entry.payload))
    is_specialty = entry.still.shot_kind == ShotKind.SPECIALTY
    return Group(entry.kind, is_specialty, entry.still.club_class)


def group_of_payload(kind: str, club_class: str | None, club: str | None) -> Group:
    """The group of an entry whose payload says the class of the club and maybe the very club."""
    code = club or ""
    return Group(kind, False, club_class or "", "" if code in ClubClass.values else code)


def reasons_kept_out(entry: Entry) -> list[str]:
    """Why the entry's still is too doubtful for a claim, in words; usually empty."""
    return [gettext(WARNING_WORDS[code]) for code in entry.warnings if keeps_out(code)]


def sure_of(phases: Phases) -> dict[str, list[Entry]]:
    """By phase the entries of which something may be claimed."""
    return {
        phase: [entry for entry in entries if not reasons_kept_out(entry)]
        for phase, entries in phases.items()
    }


def _of_group(
    group: Group, station: StationModule, phases: Phases, units: Units
) -> Iterable[Finding]:
    sure = sure_of(phases)
    basis = None
    if station.needs_still:
        basis = basis_of(entry for phase in COMPARED for entry in sure.get(phase, ()))
    for measure in station.measures:
        intake, exit_ = (rows_of(sure.get(phase, ()), measure.name) for phase in COMPARED)
        if intake or exit_ or any(rows_of(entries, measure.name) for entries in phases.values()):
            yield finding_of(
                *(group, station.label, measure, intake, exit_),
                doubts=_doubts(phases),
                basis=basis,
                units=units,
            )


def finding_of(
    group: Group,
    station_title: str,
    measure: MeasureKind,
    intake: Sequence[Measure],
    exit_: Sequence[Measure],
    *,
    doubts: Mapping[str, str] | None = None,
    basis: Basis | None = None,
    units: Units = SI,
) -> Finding:
    """Compare the rows of one measure; `doubts` says by phase why a still was kept out.

    Stills of which nothing is known are compared as single frames with joints seen by eye.
    """
    if basis is None and _is_on_stills(group):
        basis = Basis(ONE_FRAME)
    sides = side_of(measure, intake), side_of(measure, exit_)
    change = _change(measure, *sides, basis)
    read_kind, read_change = _read_in(measure, change, units)
    how = ""
    if read_change is not None and shows(read_kind, read_change.difference):
        how = moved(read_kind, read_change.difference)
    for phase, side in zip(COMPARED, sides, strict=True):
        if side is None:
            sentence = (doubts or {}).get(phase) or not_measured(phase)
            break
    else:
        sentence = said_of(read_kind, read_change, is_swing=_is_on_stills(group))
    return Finding(group, station_title, measure, *sides, change, sentence, basis, how)


def _is_on_stills(group: Group) -> bool:
    """Whether swings on stills are compared, by the spreads that stills have."""
    return group.kind in kinds_on_stills()


def _doubts(phases: Phases) -> dict[str, str]:
    """For each phase with a doubtful still, the sentence that says so; the still says why."""
    return {
        phase: doubtful(Phase(phase))
        for phase, entries in phases.items()
        if any(reasons_kept_out(entry) for entry in entries)
    }


def rows_of(entries: Iterable[Entry], name: str) -> list[Measure]:
    return [row for entry in entries for row in entry.measures.all() if row.name == name]


def side_of(measure: MeasureKind, rows: Sequence[Measure]) -> Side | None:
    """The mean of the rows; the arms of its interval are theirs, squared, added and divided."""
    if not rows:
        return None
    values = tuple(row.value for row in rows)
    n, mean = len(values), math.fsum(values) / len(values)
    name, unit, source = measure.name, measure.unit, rows[0].source if n == 1 else f"mean of {n}"
    uncertainties = [row.standard_uncertainty for row in rows if row.standard_uncertainty]
    below = [row.value - row.low for row in rows if row.low is not None]
    above = [row.high - row.value for row in rows if row.high is not None]
    if not len(uncertainties) == len(below) == len(above) == n:
        return Side(values, MeasureValue(name, mean, unit, None, None, None, source))
    u, low, high = (math.hypot(*parts) / n for parts in (uncertainties, below, above))
    return Side(values, MeasureValue(name, mean, unit, u, mean - low, mean + high, source))


def _change(
    measure: MeasureKind, intake: Side | None, exit_: Side | None, basis: Basis | None
) -> Change | None:
    """The decision on one measure; None where there is nothing to decide with.

    Swings on stills scatter by themselves and the camera's set-up has a spread of its own. Results
    of other stations come as one mean or share a session, with the interval it was counted with.
    """
    if intake is None or exit_ is None:
        return None
    if basis is not None:
        return _change_of_swings(measure, intake, exit_, basis)
    threshold = _between(intake.mean, exit_.mean, alpha_of(measure))
    if not threshold:
        return None
    difference = exit_.mean.value - intake.mean.value
    past = abs(difference) > threshold
    return Change(difference, threshold, None, Verdict.INDICATION if past else Verdict.WITHIN)


def _change_of_swings(
    measure: MeasureKind, intake: Side, exit_: Side, basis: Basis
) -> Change | None:
    spread = basis.spreads.get(measure.name)
    if spread is None:
        return None
    alpha, same = alpha_of(measure), basis.is_one_marker
    between, mdc95 = spread.between_sd(same_rater=same), spread.mdc95(same_rater=same)
    return compare(intake.values, exit_.values, between, mdc95, alpha)


def alpha_of(measure: MeasureKind) -> float:
    """How often something may be claimed of a measure though nothing is."""
    return ALPHA_PRIMARY if measure.primary else ALPHA_OTHER


def arms_of(value: MeasureValue, alpha: float) -> tuple[float, float] | None:
    """How far the value may be out, downward and upward; None if that is not known."""
    if value.low is None or value.high is None or value.standard_uncertainty is None:
        return None
    return arms(value.value, value.low, value.high, value.standard_uncertainty, alpha)


def _between(before: MeasureValue, after: MeasureValue, alpha: float) -> float | None:
    """How far two values must lie apart, from the arms that point at each other.

    The method of Newcombe (Statistics in Medicine 17, 1998, 873-890) for proportions, which Zou
    and Donner (Statistics in Medicine 27, 2008, 1693-1702) showed to hold for any measure whose
    own interval is sound, however uneven.
    """
    lower, upper = sorted((before, after), key=lambda side: side.value)
    found = arms_of(lower, alpha), arms_of(upper, alpha)
    if found[0] is None or found[1] is None:
        return None
    return math.hypot(found[0][1], found[1][0])


def _read_in(
    measure: MeasureKind, change: Change | None, units: Units
) -> tuple[MeasureKind, Change | None]:
    """The measure and its change as the golfer reads them."""
    _, size = unit_and_size(measure, units)
    if change is not None:
        scaled = change.difference / size, change.threshold / size
        change = replace(change, difference=scaled[0], threshold=scaled[1])
    return kind_in(measure, units), change
