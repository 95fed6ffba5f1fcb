"""One golfer's newest values beside what is usual, and what practice should start with.

What is usual is the house's own history for golfers like this one, or else what was published. A
golfer is called low or high only past what both the value and the range may be out by: at 5 % for
a station's primary measure, at 1 % for its others.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

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
    valued,
)
from assessments.queries.history import History, history_for, whole
from assessments.queries.spreads import basis_of
from assessments.stations import registry
from assessments.stations.base import MeasureKind, MeasureValue, StationModule, Typical
from assessments.stations.readings import written
from assessments.statistics.usual import UsualRange, outside
from assessments.units import Units, in_units, kind_in, unit_and_size, units_of
from lessons.models import Phase
from school.models import Enrolment, Golfer

NEWEST_FIRST = (Phase.EXIT, Phase.INTAKE, Phase.PRACTICE)
DAYS = {Phase.EXIT: "on the last day", Phase.INTAKE: "on the first day", Phase.PRACTICE: "so far"}


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
    for kind in station.measures:
        if kind.name in newest:
            phase, side = newest[kind.name]
            yardstick = _yardstick(group, kind, history, golfer)
            yield placing_of(
                *(group, station.title, kind, side.mean, phase),
                yardstick=yardstick,
                may_be_out=_arms(station, kind, side, sure[phase]),
                cost_strokes=costs.get(kind.name),
                units=units_of(golfer),
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
        words = f"eight in ten of {usual.n} golfers here {history.band.words}"
        return Yardstick(usual, words, "what they had when they came, in the schools of this house")
    typical = _typical(group, kind, golfer)
    if typical is None:
        return None
    return Yardstick(UsualRange(typical.low, typical.high), f"by {typical.source}", typical.source)


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
        sentence=f"{said} {DAYS[Phase(phase)]}"
        + _compared(verdict, weight, yardstick, usual, is_known=may_be_out is not None),
        words={"measure": kind.title, "value": said, "usual": usual},
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
        return "" if high is None else f"at most {valued(read_kind, high / size)}"
    if high is None:
        return f"at least {valued(read_kind, low / size)}"
    return f"{written(low / size, read_kind)} to {valued(read_kind, high / size)}"


def _compared(
    verdict: PlacingVerdict,
    weight: float,
    yardstick: Yardstick | None,
    usual: str,
    *,
    is_known: bool,
) -> str:
    """The end of the sentence, after the value."""
    if yardstick is None:
        return ". There is nothing to compare it with yet."
    beside = f"{usual}, {yardstick.words}"
    if not is_known:
        return f"; usual is {beside}. How sure the value is is not known, so nothing is claimed."
    if verdict == PlacingVerdict.UNSURE:
        return f", outside what is usual ({beside}), but by no more than chance may do."
    return f", {verdict}: {beside}."
