"""What golfers like this one had when they came: the house's own history, as ranges.

Nobody can be told apart in it: a range stands for at least twelve golfers, the golfer who is
compared is none of them, and schools that were made up for show are kept from real ones.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet
from django.utils.translation import gettext

from assessments.impact.errors import keeps_out
from assessments.models import Entry, Measure, ShotKind
from assessments.queries.findings import Group, group_of_payload
from assessments.stations import kinds_on_stills
from assessments.statistics.usual import FEWEST, UsualRange, usual_range
from lessons.models import Phase
from school.models import Golfer, School


@dataclass(frozen=True)
class Band:
    """Handicaps that are compared with each other, in whole strokes, both ends included.

    An end that is open is None; both are for those who have no handicap yet.
    """

    low: int | None
    high: int | None

    @property
    def words(self) -> str:
        if self.high is None:
            if self.low is None:
                return gettext("without a handicap")
            return gettext("with handicaps from {low}").format(low=self.low)
        if self.low is None:
            return gettext("with handicaps up to {high}").format(high=self.high)
        return gettext("with handicaps {low} to {high}").format(low=self.low, high=self.high)

    @property
    def golfers(self) -> Q:
        """Those in it, of measures; half a stroke is rounded up, as by `whole`."""
        index = "entry__enrolment__golfer__handicap_index"
        if self.low is None and self.high is None:
            return Q(**{f"{index}__isnull": True})
        asked = Q()
        if self.low is not None:
            asked &= Q(**{f"{index}__gte": Decimal(self.low) - HALF})
        if self.high is not None:
            asked &= Q(**{f"{index}__lt": Decimal(self.high) + HALF})
        return asked


HALF = Decimal("0.5")
NO_HANDICAP = Band(None, None)
BANDS = (Band(None, 5), Band(6, 12), Band(13, 20), Band(21, 30), Band(31, None))


def whole(handicap_index: Decimal) -> int:
    """The index in whole strokes, a half upward."""
    return math.floor(handicap_index + HALF)


def band_of(handicap_index: Decimal | None) -> Band:
    if handicap_index is None:
        return NO_HANDICAP
    strokes = whole(handicap_index)
    return next(band for band in BANDS if band.high is None or strokes <= band.high)


@dataclass(frozen=True)
class History:
    """What is usual among golfers of a band, by group and name of the measure.

    Ranges are worked out when they are asked for: most measures of a house are asked for by nobody.
    """

    band: Band
    values: Mapping[tuple[Group, str], tuple[float, ...]]

    def usual(self, group: Group, measure: str) -> UsualRange | None:
        """None while there are fewer than twelve golfers to compare with."""
        values = self.values.get((group, measure), ())
        return usual_range(values) if len(values) >= FEWEST else None


def history_for(golfer: Golfer, entries: Collection[Entry]) -> History:
    """The house's history to compare these entries of one golfer with. 1 query.

    One value a golfer: the mean of what stands of the intake of the last school they came to. They
    are in the band of the handicap that they have now.
    """
    band = band_of(golfer.handicap_index)
    return History(band, _one_a_golfer(_intakes(golfer, band, entries)))


def _intakes(golfer: Golfer, band: Band, entries: Collection[Entry]) -> QuerySet[Measure]:
    ours = School.objects.filter(enrolments__in={entry.enrolment_id for entry in entries})
    return (
        Measure.objects.filter(
            band.golfers,
            entry__kind__in={entry.kind for entry in entries},
            entry__phase=Phase.INTAKE,
            entry__superseded_by__isnull=True,
            entry__enrolment__school__is_demo__in=ours.values("is_demo"),
        )
        .exclude(entry__enrolment__golfer=golfer)
        .order_by("-entry__enrolment__school__starts_on", "-entry__enrolment", "entry", "pk")
    )


_COLUMNS = (
    *("entry__enrolment__golfer", "entry__enrolment", "entry__kind", "entry__warnings"),
    *("entry__still__shot_kind", "entry__still__club_class"),
    *("entry__payload__club_class", "entry__payload__club", "name", "value"),
)


def _one_a_golfer(measures: QuerySet[Measure]) -> dict[tuple[Group, str], tuple[float, ...]]:
    newest: dict[tuple[Group, str, int], int] = {}
    found: defaultdict[tuple[Group, str], defaultdict[int, list[float]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for (
        golfer,
        enrolment,
        kind,
        warnings,
        shot,
        filmed,
        typed,
        club,
        name,
        value,
    ) in measures.values_list(*_COLUMNS).iterator():
        if any(map(keeps_out, warnings)):
            continue
        group = (
            Group(kind, shot == ShotKind.SPECIALTY, filmed)
            if kind in kinds_on_stills()
            else group_of_payload(kind, typed, club)
        )
        if newest.setdefault((group, name, golfer), enrolment) == enrolment:
            found[group, name][golfer].append(value)
    return {key: tuple(map(_mean, golfers.values())) for key, golfers in found.items()}


def _mean(values: Iterable[float]) -> float:
    several = list(values)
    return math.fsum(several) / len(several)
