"""What matters most of what was found: strengths, faults, and what practice should answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import ngettext

from assessments.practice.propose import Need
from assessments.practice.values import When
from assessments.queries.findings import Finding, Group, alpha_of
from assessments.queries.placings import Placing, PlacingVerdict, Yardstick
from assessments.stations.base import MeasureKind
from assessments.stations.readings import number
from assessments.statistics.change import Verdict


@dataclass(frozen=True)
class Point:
    """One measure that is a strength or a fault, by its placing, its change or both.

    `cost_strokes` is what a fault costs a round (+) or a strength saves (-), None where that is not
    known. Penalties fewer than is usual are a strength, though they cost strokes still.
    """

    group: Group
    station_title: str
    measure: MeasureKind
    finding: Finding | None
    placing: Placing | None

    @property
    def cost_strokes(self) -> float | None:
        cost = self.placing.cost_strokes if self.placing else None
        if cost is None or not (self.is_fault if cost > 0 else self.is_strength):
            return None
        return cost

    @property
    def weight(self) -> float:
        """How far past what may be chance, by whichever says more."""
        by_change = self.finding.weight if self.finding and is_claimed(self.finding) else 0.0
        by_place = self.placing.weight if self.placing and self.placing.is_outside else 0.0
        return max(by_change, by_place)

    @property
    def title(self) -> str:
        """`Ball flight, 7-iron: carry`."""
        club = f", {self.group.club}" if self.group.club else ""
        return f"{self.station_title}{club}: {self.measure.bare_label}"

    @property
    def sentences(self) -> tuple[str, ...]:
        """How it lies, and how it changed, where either may be said."""
        placed = (self.placing.sentence,) if self.placing and self.placing.yardstick else ()
        changed = (self.finding.sentence,) if self.finding and is_claimed(self.finding) else ()
        return (*placed, *changed)

    @property
    def yardstick(self) -> Yardstick | None:
        return self.placing.yardstick if self.placing else None

    @property
    def cost_words(self) -> str:
        """`costs 0.4 strokes a round`; nothing where that is not known or rounds to none."""
        cost = round(self.cost_strokes or 0.0, 1)
        if not cost:
            return ""
        plural = 1 if abs(cost) == 1 else 2
        pattern = ngettext(
            "saves {strokes} stroke a round", "saves {strokes} strokes a round", plural
        )
        if cost > 0:
            pattern = ngettext(
                "costs {strokes} stroke a round", "costs {strokes} strokes a round", plural
            )
        return pattern.format(strokes=number(abs(cost), 1))

    @property
    def percent(self) -> int:
        """How often, of a hundred, such a thing may be said though it is not so."""
        return round(100 * alpha_of(self.measure))

    @property
    def is_flagged(self) -> bool:
        return self.placing is not None and self.placing.is_flagged

    @property
    def is_strength(self) -> bool:
        """Better than is usual, or better than before without lying on the worse side."""
        if self.placing is not None and self.placing.is_outside:
            return self.placing.is_strength
        return is_change_for(self.finding, better=True)

    @property
    def is_fault(self) -> bool:
        if self.placing is not None and self.placing.is_outside:
            return self.placing.is_fault
        return is_change_for(self.finding, better=False)


@dataclass(frozen=True)
class Ranking:
    """What costs or saves most comes first; what has no cost follows by how sure it is."""

    strengths: tuple[Point, ...]
    faults: tuple[Point, ...]


def is_claimed(finding: Finding) -> bool:
    return finding.change is not None and finding.change.verdict != Verdict.WITHIN


def is_change_for(finding: Finding | None, *, better: bool) -> bool:
    """Whether a change is claimed, and to the better or to the worse side."""
    if finding is None or finding.change is None or not is_claimed(finding):
        return False
    side = {"higher": 1, "lower": -1, "none": 0}[finding.measure.better]
    return finding.change.difference * (side if better else -side) > 0


def ranked(findings: Iterable[Finding], placings: Iterable[Placing]) -> Ranking:
    """Strengths and faults among what was found of one golfer, the most telling first.

    What is flagged for a licensed professional is neither.
    """
    points = [one for one in _points(findings, placings) if not one.is_flagged]
    return Ranking(
        tuple(sorted((one for one in points if one.is_strength), key=_most_saved_first)),
        tuple(sorted((one for one in points if one.is_fault), key=_most_costly_first)),
    )


def _points(findings: Iterable[Finding], placings: Iterable[Placing]) -> list[Point]:
    changed = {(one.group, one.measure.name): one for one in findings}
    placed = {(one.group, one.measure.name): one for one in placings}
    points = []
    for key in dict.fromkeys([*placed, *changed]):
        placing, finding = placed.get(key), changed.get(key)
        one = placing or finding
        assert one is not None  # each key is of one or the other
        points.append(Point(one.group, one.station_title, one.measure, finding, placing))
    return points


def _most_costly_first(point: Point) -> tuple[bool, float]:
    cost = point.cost_strokes
    return (True, -point.weight) if cost is None else (False, -cost)


def _most_saved_first(point: Point) -> tuple[bool, float]:
    cost = point.cost_strokes
    return (True, -point.weight) if cost is None else (False, cost)


def needs_of(findings: Iterable[Finding], placings: Iterable[Placing]) -> tuple[Need, ...]:
    """What practice could answer: the faults by what they cost, then the strengths to keep.

    A measure that is low and got worse besides is there once for each, as rules may serve either.
    """
    found = ranked(findings, placings)
    faults = [_need(point, when) for point in found.faults for when in _whens(point)]
    return (*faults, *(_need(point, "better") for point in found.strengths))


def _whens(point: Point) -> list[When]:
    whens: list[When] = []
    if point.placing is not None and point.placing.is_fault:
        whens.append("low" if point.placing.verdict == PlacingVerdict.LOW else "high")
    if is_change_for(point.finding, better=False):
        whens.append("worse")
    return whens


def _need(point: Point, when: When) -> Need:
    finding = point.finding
    words = {"measure": point.measure.bare_label, "value": "", "usual": "", "change": ""}
    if point.placing is not None:
        words |= point.placing.words
    if finding is not None and is_claimed(finding):
        words["change"] = finding.moved
    return Need(
        kind=point.group.kind,
        measure=point.measure.name,
        club_class=point.group.club_class,
        when=when,
        cost_strokes=point.cost_strokes,
        weight=point.weight,
        title=point.title,
        words=words,
    )
