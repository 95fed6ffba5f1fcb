"""Which needs become priorities, with which drills, and what is left out for what reason.

1. Needs are taken in order: what is known to cost strokes first, the dearest leading; then what
   costs an unknown number, by how far it lies past chance; then what costs none.
2. A need takes the drills its rules name, by position, that the golfer has the equipment for,
   that spare what hurts, and that no earlier priority has taken. A need that is left with no drill
   is passed over, and that is said.
3. One priority a station is taken first; a station has a second one only if places are left over.
   A measure is never two priorities, and a strength is never one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from assessments.practice.values import (
    LONGEST_TITLE,
    LONGEST_WHY,
    MOST_PRIORITIES,
    DrillFacts,
    Need,
    ProposedPriority,
    Rule,
    Time,
)
from assessments.practice.words import EQUIPMENT, HURTS

MOST_DRILLS = 3
# A priority wants about twenty minutes a week, or it is named and not practised.
MINUTES_FOR = {2: 30, 3: 60}


@dataclass(frozen=True)
class Usable:
    """The drills of a need that can be done, and a sentence for each that cannot."""

    need: Need
    why: str
    drills: tuple[DrillFacts, ...]
    left_out: tuple[str, ...]
    is_served_already: bool = False


@dataclass(frozen=True)
class Choice:
    """The priorities with their drills, the strength to keep, and what is left out."""

    priorities: tuple[Usable, ...]
    keep: Usable | None
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class Shelf:
    """The drills there are and the rules that name them, for one golfer."""

    rules: tuple[Rule, ...]
    drills: Mapping[str, DrillFacts]
    equipment: frozenset[str]
    hurts: frozenset[str]

    def usable_for(self, need: Need, taken: frozenset[str] = frozenset()) -> Usable:
        """What of the shelf serves a need, without the drills that are taken."""
        rules = self._rules_for(need)
        named = [self.drills[slug] for slug in dict.fromkeys(rule.drill for rule in rules)]
        reasons = {
            drill.slug: why_not(drill, equipment=self.equipment, hurts=self.hurts)
            for drill in named
        }
        possible = [drill for drill in named if not reasons[drill.slug]]
        free = tuple(drill for drill in possible if drill.slug not in taken)[:MOST_DRILLS]
        return Usable(
            need,
            _why(need, rules, free),
            free,
            tuple(_left_out(drill, reasons[drill.slug]) for drill in named if reasons[drill.slug]),
            is_served_already=bool(possible) and not free,
        )

    def _rules_for(self, need: Need) -> list[Rule]:
        wanted = need.kind, need.measure, need.when
        rules = (
            rule
            for rule in self.rules
            if (rule.kind, rule.measure, rule.when) == wanted
            and rule.club_class in ("", need.club_class)
            and rule.drill in self.drills
        )
        return sorted(rules, key=_rule_order)


def choose(needs: Iterable[Need], shelf: Shelf, time: Time) -> Choice:
    """At most three priorities, fewer where time is short, and one strength to keep."""
    ordered = sorted(needs, key=_order)
    weak = [need for need in ordered if need.when != "better"]
    places = _places(time)
    chosen, said = _priorities(weak, shelf, places)
    if len(chosen) == places < min(MOST_PRIORITIES, len(weak)):
        said.append(_short_of_time(places, time))
    if not weak:
        said.append("Nothing that was found asks for work, as far as can be told.")
    served = frozenset(drill.slug for each in chosen for drill in each.drills)
    strengths = sorted((need for need in ordered if need.when == "better"), key=_strength_order)
    kept = (shelf.usable_for(need, served) for need in strengths)
    keep = next((each for each in kept if each.drills), None)
    return Choice(tuple(chosen), keep, tuple(dict.fromkeys(said)))


def priority_of(usable: Usable) -> ProposedPriority:
    return ProposedPriority(_cut(usable.need.title, LONGEST_TITLE), usable.why, usable.need)


def filled(why: str, words: Mapping[str, str]) -> str | None:
    """A rule's line with its names filled in; None if it names what the finding does not have."""
    names = re.findall(r"{(\w*)}", why)
    if not all(words.get(name) for name in names):
        return None
    return re.sub(r"{(\w*)}", lambda name: words[name[1]], why)


def _places(time: Time) -> int:
    for places in range(MOST_PRIORITIES, 1, -1):
        if time.minutes_a_week >= MINUTES_FOR[places]:
            return places
    return 1


def _priorities(needs: Sequence[Need], shelf: Shelf, places: int) -> tuple[list[Usable], list[str]]:
    chosen: list[Usable] = []
    said: list[str] = []
    for is_second_round in (False, True):
        for need in needs:
            if len(chosen) == places or (not is_second_round and _has_kind(chosen, need)):
                continue
            if any(_is_same_measure(each.need, need) for each in chosen):
                continue
            taken = frozenset(drill.slug for each in chosen for drill in each.drills)
            usable = shelf.usable_for(need, taken)
            said += usable.left_out
            if usable.drills:
                chosen.append(usable)
            else:
                said.append(_passed_over(usable))
    chosen.sort(key=lambda each: _order(each.need))
    return chosen, said


def _has_kind(chosen: Iterable[Usable], need: Need) -> bool:
    return any(each.need.kind == need.kind for each in chosen)


def _is_same_measure(one: Need, other: Need) -> bool:
    return (one.kind, one.measure, one.club_class) == (other.kind, other.measure, other.club_class)


def why_not(drill: DrillFacts, *, equipment: frozenset[str], hurts: frozenset[str]) -> str:
    """Why a golfer cannot do a drill, like ``needs a putter``; empty if nothing is in the way."""
    sore = sorted(drill.avoid_with & hurts)
    if sore:
        return f"to spare {_listed(sore, HURTS)}"
    missing = sorted(drill.equipment - equipment)
    return f"needs {_listed(missing, EQUIPMENT)}" if missing else ""


def _left_out(drill: DrillFacts, reason: str) -> str:
    joined = f"which {reason}" if reason.startswith("needs") else reason
    return f"Left out: {drill.name}, {joined}."


def _passed_over(usable: Usable) -> str:
    title = usable.need.title
    if usable.is_served_already:
        return f"No priority of its own: {title}. The drills of another priority serve it."
    if usable.left_out:
        return f"Passed over: {title}. None of its drills can be done, so it gives up its place."
    return f"Passed over: {title}. The library has no drill for it, so it gives up its place."


def _short_of_time(places: int, time: Time) -> str:
    some = "one priority" if places == 1 else f"{places} priorities"
    return f"{time.minutes_a_week} minutes a week are enough for {some}; more would get too little."


def _order(need: Need) -> tuple[object, ...]:
    cost = need.cost_strokes
    rank = (1, 0.0) if cost is None else (0 if cost > 0 else 2, -cost)
    return *rank, -need.weight, *_name(need)


def _strength_order(need: Need) -> tuple[object, ...]:
    """What saves most strokes first, then what lies furthest past chance."""
    return need.cost_strokes or 0.0, -need.weight, *_name(need)


def _name(need: Need) -> tuple[object, ...]:
    words = sorted(need.words.items())
    return need.kind, need.measure, need.club_class, need.when, need.title, words


def _rule_order(rule: Rule) -> tuple[object, ...]:
    """By position; a rule for the need's own club goes before one for any."""
    return rule.position, not rule.club_class, rule.drill, rule.why


def _why(need: Need, rules: Iterable[Rule], drills: Sequence[DrillFacts]) -> str:
    """The line of the first rule whose drill is taken and whose names the finding has."""
    kept = {drill.slug for drill in drills}
    lines = (filled(rule.why, need.words) for rule in rules if rule.drill in kept)
    return _cut(next((line for line in lines if line), f"{need.title}."), LONGEST_WHY)


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[: longest - 2].rpartition(' ')[0]} …"


def _listed(codes: Sequence[str], words: Mapping[str, str]) -> str:
    *others, last = [words.get(code, code) for code in codes]
    return f"{', '.join(others)} and {last}" if others else last
