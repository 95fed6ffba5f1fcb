"""The drills of the house: what each serves, and those that answer a search."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from assessments.models import ClubClass, Drill, DrillRule
from assessments.practice.rules_check import Known
from assessments.practice.words import EQUIPMENT, HURTS
from assessments.stations import registry
from assessments.stations.base import MeasureKind, StationModule

FOR_ANY_DAY = "For any day"


@dataclass(frozen=True)
class Search:
    """What is looked for: words, the station that a drill serves, what it must do without."""

    words: str = ""
    kind: str = ""
    equipment: frozenset[str] | None = None

    def finds(self, drill: Drill) -> bool:
        text = f"{drill.name} {drill.purpose} {drill.set_up} {drill.steps}".casefold()
        return (
            all(word in text for word in self.words.casefold().split())
            and (not self.kind or any(rule.kind == self.kind for rule in drill.rules.all()))
            and (self.equipment is None or self.equipment.issuperset(drill.equipment))
        )


@dataclass(frozen=True)
class DrillGroup:
    """The drills that serve one station most."""

    title: str
    drills: Sequence[Drill]


@dataclass(frozen=True)
class Served:
    """A measure that a drill serves, when it does, and one of the lines that say why."""

    station: str
    measure: str
    club: str
    whens: tuple[str, ...]
    why: str


def drills_in_use() -> QuerySet[Drill]:
    """Drills with the rules that name them; 2 queries."""
    rules = DrillRule.objects.filter(is_in_use=True)
    return Drill.objects.filter(is_in_use=True).prefetch_related(Prefetch("rules", rules))


def drill_groups(search: Search) -> list[DrillGroup]:
    """What a search finds, each drill under the station that most of its rules name. 2 queries."""
    grouped: dict[str, list[Drill]] = {}
    for drill in drills_in_use():
        if search.finds(drill):
            grouped.setdefault(_main_kind(drill), []).append(drill)
    kinds = [kind for kind in station_titles() if kind in grouped]
    groups = [DrillGroup(registry()[kind].title, grouped[kind]) for kind in kinds]
    if "" in grouped:
        groups.append(DrillGroup(FOR_ANY_DAY, grouped[""]))
    return groups


def findings_served(drill: Drill) -> list[Served]:
    """What a drill serves, in the order of stations and their measures. 1 query."""
    found: defaultdict[tuple[str, str, str], list[DrillRule]] = defaultdict(list)
    for rule in drill.rules.filter(is_in_use=True):
        found[rule.kind, rule.measure, rule.club_class].append(rule)
    return [
        _served(found[kind, measure, club], registry()[kind], known)
        for (kind, measure), known in measure_kinds().items()
        for club in ("", *ClubClass.values)
        if (kind, measure, club) in found
    ]


def equipment_words(drill: Drill) -> list[str]:
    return [EQUIPMENT.get(code, code) for code in drill.equipment]


def spared_words(drill: Drill) -> list[str]:
    return [HURTS.get(code, code) for code in drill.avoid_with]


def measure_kinds() -> dict[tuple[str, str], MeasureKind]:
    """Every measure by its station and its name."""
    return {
        (station.kind, measure.name): measure
        for station in registry().values()
        for measure in station.measures
    }


def station_titles() -> dict[str, str]:
    """The stations that measure something, as they are titled."""
    return {kind: station.title for kind, station in registry().items() if station.measures}


def known_measures() -> Known:
    """What a rule may be for."""
    return {
        kind: {measure.name: measure.better for measure in station.measures}
        for kind, station in registry().items()
    }


def _main_kind(drill: Drill) -> str:
    """The station that most rules of a drill name, among those there are; "" if none does."""
    named = Counter(rule.kind for rule in drill.rules.all() if rule.kind in registry())
    return named.most_common(1)[0][0] if named else ""


def _served(rules: list[DrillRule], station: StationModule, measure: MeasureKind) -> Served:
    """`rules` are those of one measure and club; the line of the first finding stands for all."""
    whens = list(DrillRule.When)
    rules.sort(key=lambda rule: whens.index(DrillRule.When(rule.when)))
    club = rules[0].club_class
    return Served(
        station.title,
        measure.heading,
        ClubClass(club).label if club else "",
        tuple(rule.get_when_display() for rule in rules),
        _as_read(rules[0].why, measure),
    )


def _as_read(why: str, measure: MeasureKind) -> str:
    """A rule's line with the measure in its place, and what a golfer brings in square brackets."""
    return re.sub(r"{(\w+)}", r"[\1]", why.replace("{measure}", measure.title))
