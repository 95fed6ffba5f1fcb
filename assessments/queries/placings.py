"""One golfer's newest values beside what is usual, and what practice should start with.

What is usual is the house's own history for golfers like this one, or else what was published. A
golfer is called low or high only past what both the value and the range may be out by: at 5 % for
a station's primary measure, at 1 % for its others.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.utils.translation import gettext, gettext_noop
from scipy.special import ndtri

from assessments.models import Entry
from assessments.queries.entries import current_entries
from assessments.queries.findings import (
    SI,
    Group,
    Side,
    alpha_of,
    arms_of,
    groups_in,
    rows_of,
    side_of,
    sure_of,
)
from assessments.queries.history import History, history_for, whole
from assessments.queries.sentences import valued
from assessments.queries.spreads import basis_of
from assessments.stations import registry
from assessments.stations.base import MeasureKind, MeasureValue, StationModule, Typical
from assessments.stations.readings import written
from assessments.statistics.usual import UsualRange, outside
from assessments.units import Units, in_units, kind_in, unit_and_size, units_of
from lessons.models import Phase
from school.models import Enrolment, Golfer

NEWEST_FIRST = (Phase.EXIT, Phase.INTAKE, Phase.PRACTICE)
ON_DAY = {
    Phase.EXIT: gettext_noop("{value} on the last day"),
    Phase.INTAKE: gettext_noop("{value} on the first day"),
    Phase.PRACTICE: gettext_noop("{value} so far"),
}


class PlacingVerdict(StrEnum):
    """Where a value lies by what is usual; unsure if that cannot be told."""

    LOW = "below what is usual"
    HIGH = "above what is usual"
    USUAL = "within what is usual"
    UNSURE = "not sure"


@dataclass(frozen=True)
class Yardstick:
    """A range to compare with, in the unit of the measure; an open end is None.

    `words` say whose it is, and `source` where that is from. `n` golfers stand behind it, 0 if it
    was published.
    """

    usual: UsualRange
    words: str
    source: str

    @property
    def low(self) -> float | None:
        return self.usual.low

    @property
    def high(self) -> float | None:
        return self.usual.high

    @property
    def n(self) -> int:
        return self.usual.n


@dataclass(frozen=True)
class Placing:
    """A measure of one golfer beside its yardstick, if there is one.

    `cost_strokes` is what it costs a round (+) or saves (-), None where that is not known. `weight`
    is how far past what may be chance the value lies outside the range, 1 being just past.
    `is_flagged` says that it is for a licensed professional before anybody works on it.
    """

    group: Group
    station_title: str
    measure: MeasureKind
    value: MeasureValue
    phase: str
    yardstick: Yardstick | None
    verdict: PlacingVerdict
    weight: float
    cost_strokes: float | None
    sentence: str
    words: Mapping[str, str]
    is_flagged: bool = False

    @property
    def is_outside(self) -> bool:
        return self.verdict in (PlacingVerdict.LOW, PlacingVerdict.HIGH)

    @property
    def is_strength(self) -> bool:
        return self.is_outside and not self.is_fault and self.measure.better != "none"

    @property
    def is_fault(self) -> bool:
        """On the worse side; where no side is better, on either."""
        good = {"higher": PlacingVerdict.HIGH, "lower": PlacingVerdict.LOW}.get(self.measure.better)
        return self.is_outside and self.verdict != good


def placings_for(enrolment: Enrolment) -> list[Placing]:
    """Every measure of one attendee beside what is usual. 4 queries at most."""
    return placings_from(list(current_entries([enrolment])), enrolment.golfer)


def placings_from(entries: Collection[Entry], golfer: Golfer) -> list[Placing]:
    """The same of entries that are already here with their stills' places. 1 query."""
    if not entries:
        return []
    history, stations = history_for(golfer, entries), registry()
    return [
        placing
        for group, phases in groups_in(entries, NEWEST_FIRST).items()
        if group.kind in stations
        for placing in _of_group(group, stations[group.kind], sure_of(phases), history, golfer)
    ]


def _of_group(
    group: Group,
    station: StationModule,
    sure: Mapping[str, Sequence[Entry]],
    history: History,
    golfer: Golfer,
) -> Iterable[Placing]:
    newest = {
        kind.name: found for kind in station.measures if (found := _newest(kind, sure)) is not None
    }
    means = {name: side.mean for name, (_, side) in newest.items()}
    costs = station.costs(means) if station.costs and means else {}
    is_flagged = station.for_professionals and any(
        entry.warnings for entries in sure.values() for entry in entries
    )
    for kind in station.measures:
        if kind.name in newest:
            phase, side = newest[kind.name]
            yardstick = _yardstick(group, kind, history, golfer)
            yield placing_of(
                *(group, station.label, kind, side.mean, phase),
                yardstick=yardstick,
                may_be_out=_arms(station, kind, side, sure[phase]),
                cost_strokes=costs.get(kind.name),
                units=units_of(golfer),
                is_flagged=is_flagged,
            )


def _newest(kind: MeasureKind, sure: Mapping[str, Sequence[Entry]]) -> tuple[Phase, Side] | None:
    for phase in NEWEST_FIRST:
        side = side_of(kind, rows_of(sure.get(phase, ()), kind.name))
        if side is not None:
            return phase, side
    return None


def _arms(
    station: StationModule, kind: MeasureKind, side: Side, entries: Sequence[Entry]
) -> tuple[float, float] | None:
    """How far the value may be out to either side, at the level of its measure.

    The interval on a still counts its marks alone. How swings scatter, how the camera stood and who
    marked are the spreads by which stills are compared.
    """
    if not station.needs_still:
        return arms_of(side.mean, alpha_of(kind))
    spread = basis_of(entries).spreads.get(kind.name)
    if spread is None:
        return None
    sd = spread.mdc95(len(side.values), same_rater=False) / MDC_OF_ONE_SD
    arm = float(ndtri(1 - alpha_of(kind) / 2)) * sd
    return arm, arm


MDC_OF_ONE_SD = 1.96 * 2**0.5  # what `SetUp.mdc95` makes of the spread of one session


def _yardstick(
    group: Group, kind: MeasureKind, history: History, golfer: Golfer
) -> Yardstick | None:
    usual = history.usual(group, kind.name)
    if usual is not None:
        words = gettext("eight in ten of {count} golfers here {band}")
        source = gettext("what they had when they came, in the schools of this house")
        return Yardstick(usual, words.format(count=usual.n, band=history.band.words), source)
    typical = _typical(group, kind, golfer)
    if typical is None:
        return None
    source = gettext(typical.source)
    words = gettext("by {source}").format(source=source)
    return Yardstick(UsualRange(typical.low, typical.high), words, source)


def _typical(group: Group, kind: MeasureKind, golfer: Golfer) -> Typical | None:
    """What was published for golfers and clubs most like these; nothing for specialty shots."""
    if group.is_specialty:
        return None
    fitting = [one for one in kind.typical if _fits(one, group, golfer)]
    return max(fitting, key=_how_special, default=None)


def _how_special(typical: Typical) -> tuple[bool, bool]:
    has_handicap = typical.handicap_from is not None or typical.handicap_to is not None
    return bool(typical.club_class), has_handicap


def _fits(typical: Typical, group: Group, golfer: Golfer) -> bool:
    if typical.club_class not in ("", group.club_class):
        return False
    if typical.handicap_from is None and typical.handicap_to is None:
        return True
    if golfer.handicap_index is None:
        return False
    strokes = whole(golfer.handicap_index)
    return (typical.handicap_from is None or strokes >= typical.handicap_from) and (
        typical.handicap_to is None or strokes <= typical.handicap_to
    )


def placing_of(
    group: Group,
    station_title: str,
    kind: MeasureKind,
    value: MeasureValue,
    phase: str,
    *,
    yardstick: Yardstick | None,
    may_be_out: tuple[float, float] | None,
    cost_strokes: float | None = None,
    units: Units = SI,
    is_flagged: bool = False,
) -> Placing:
    """Compare one value; `may_be_out` is how far downward and upward, at the measure's level."""
    verdict, weight = PlacingVerdict.UNSURE, 0.0
    if yardstick is not None and may_be_out is not None:
        found = outside(value.value, *may_be_out, yardstick.usual, alpha_of(kind))
        if found.beyond == 0:
            verdict = PlacingVerdict.USUAL
        else:
            weight = abs(found.beyond) / found.past if found.past else float("inf")
            if found.is_sure:
                verdict = PlacingVerdict.LOW if found.beyond < 0 else PlacingVerdict.HIGH
    usual = _usual_words(kind, yardstick, units)
    said = valued(*_read(kind, value, units))
    return Placing(
        *(group, station_title, kind, value, phase, yardstick, verdict, weight, cost_strokes),
        sentence=_sentence(
            gettext(ON_DAY[Phase(phase)]).format(value=said),
            verdict,
            yardstick,
            usual,
            is_known=may_be_out is not None,
        ),
        words={"measure": kind.bare_label, "value": said, "usual": usual},
        is_flagged=is_flagged,
    )


def _read(kind: MeasureKind, value: MeasureValue, units: Units) -> tuple[MeasureKind, float]:
    read_kind, read = in_units(kind, value, units)
    return read_kind, read.value


def _usual_words(kind: MeasureKind, yardstick: Yardstick | None, units: Units) -> str:
    """The range as the golfer reads it: `12 to 25 m`, `at most 25 m`."""
    if yardstick is None:
        return ""
    read_kind, (_, size) = kind_in(kind, units), unit_and_size(kind, units)
    low, high = yardstick.low, yardstick.high
    if low is None:
        most = None if high is None else valued(read_kind, high / size)
        return "" if most is None else gettext("at most {high}").format(high=most)
    if high is None:
        return gettext("at least {low}").format(low=valued(read_kind, low / size))
    ends = {"low": written(low / size, read_kind), "high": valued(read_kind, high / size)}
    return gettext("{low} to {high}").format(**ends)


_PLACED = {
    PlacingVerdict.UNSURE: gettext_noop(
        "{found}, outside what is usual ({usual}, {yardstick}), but by no more than chance may do."
    ),
    PlacingVerdict.LOW: gettext_noop("{found}, below what is usual: {usual}, {yardstick}."),
    PlacingVerdict.HIGH: gettext_noop("{found}, above what is usual: {usual}, {yardstick}."),
    PlacingVerdict.USUAL: gettext_noop("{found}, within what is usual: {usual}, {yardstick}."),
}


def _sentence(
    found: str,
    verdict: PlacingVerdict,
    yardstick: Yardstick | None,
    usual: str,
    *,
    is_known: bool,
) -> str:
    """The whole sentence; `found` is the value and its day."""
    if yardstick is None:
        pattern = gettext("{found}. There is nothing to compare it with yet.")
        return pattern.format(found=found)
    pattern = gettext(_PLACED[verdict])
    if not is_known:
        pattern = gettext(
            "{found}; usual is {usual}, {yardstick}. "
            "How sure the value is is not known, so nothing is claimed."
        )
    return pattern.format(found=found, usual=usual, yardstick=yardstick.words)
