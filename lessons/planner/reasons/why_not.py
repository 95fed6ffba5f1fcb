"""Why there is no plan: rules that cannot hold together, as few as the time allows.

1. Whole visits, then whole squads are let go for good as long as there is still no plan: what
   is left is small, and so is the model.
2. Each rule left is guarded by a literal that the solver may assume; the assumptions it used
   to show that there is no plan are enough for the clash.
3. Deletion filter: let a rule go and solve again. Still no plan, and the rule was not needed;
   a plan, and it was. All rules of a kind are tried together first, then one by one.
4. What is left is minimal when every one of its rules was seen to be needed: the others of
   the set can hold together without it. There may be other clashes besides.

That a squad, an instructor and a bay have one visit at a time, and that what is over stands, is
never in question.
"""

import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from typing import Any

from ortools.sat.python import cp_model

from lessons.planner.model import Model
from lessons.planner.plan import Conflict
from lessons.planner.problem import Problem
from lessons.planner.rules import Rule, all_rules
from lessons.planner.words import in_words

WORKERS = 2
SHARE = 6


def explain(
    problem: Problem,
    *,
    seconds: float,
    seed: int = 1,
    stopped: Callable[[], bool] = lambda: False,
) -> tuple[list[Conflict], bool]:
    """Find a small set of clashing rules of a problem that has no plan.

    Parameters
    ----------
    seconds
        Wall time; when it ends the set may still hold rules that are not needed.
    stopped
        Asked before each question to the solver; once it says so it is as if the time had ended.

    Returns
    -------
    The rules in words and whether the set is proven minimal. A visit that several squads
    must have is one rule.
    """
    search = _Search(problem, seconds, seed, stopped)
    for bundle in (_visits, _squads):
        search.thin_out(bundle)
    search.assume()
    for bundle in (_kinds, _one_by_one, _one_by_one):
        search.thin_out(bundle)
    words = [
        Conflict(kind, in_words(problem, kind, keys), keys)
        for kind, keys in map(_merge, _subjects(search.rules))
    ]
    return words, not search.doubtful


class _Search:
    """The rules still thought to clash, and those not known to be needed or not."""

    def __init__(
        self, problem: Problem, seconds: float, seed: int, stopped: Callable[[], bool]
    ) -> None:
        self.problem = problem
        self.stopped = stopped
        self.ends = time.monotonic() + seconds
        self.seed = seed
        self.all = frozenset(all_rules(problem))
        self.rules = sorted(self.all)
        self.needed: set[Rule] = set()

    @property
    def doubtful(self) -> bool:
        return not self.needed.issuperset(self.rules)

    def assume(self) -> None:
        """Keep the assumptions that the solver needed."""
        model = Model(self.problem, guarded=True, let_go=self.all.difference(self.rules))
        model.cp.add_assumptions(list(model.guards.values()))
        status, solver = self._solve(model)
        if status == cp_model.INFEASIBLE:
            enough = set(solver.sufficient_assumptions_for_infeasibility())
            self.rules = sorted(r for r, guard in model.guards.items() if guard.index in enough)

    def thin_out(self, bundle: "Bundle") -> None:
        """Let go of each bundle in turn for good, unless that makes room for a plan."""
        for rules in bundle(self.rules):
            kept = [rule for rule in self.rules if rule not in rules]
            if self.needed.issuperset(rules) or self._left() <= 0:
                continue
            status, _ = self._solve(Model(self.problem, let_go=self.all.difference(kept)))
            if status == cp_model.INFEASIBLE:
                self.rules = kept
            elif status != cp_model.UNKNOWN and len(rules) == 1:
                self.needed.update(rules)

    def _left(self) -> float:
        return 0.0 if self.stopped() else max(0.0, self.ends - time.monotonic())

    def _solve(self, model: Model) -> tuple[Any, Any]:
        """Solve within a share of the time left, so that one hard question costs no other."""
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        solver.parameters.random_seed = self.seed
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_time_in_seconds = self._left() / SHARE
        return solver.solve(model.cp), solver


Bundle = Callable[[Iterable[Rule]], list[list[Rule]]]


def _bundles(rules: Iterable[Rule], alike: Callable[[Rule], object]) -> list[list[Rule]]:
    found: dict[object, list[Rule]] = defaultdict(list)
    for rule in rules:
        found[alike(rule)].append(rule)
    return list(found.values())


def _visits(rules: Iterable[Rule]) -> list[list[Rule]]:
    """All that concerns a visit, its orders included; one order may be in two bundles."""
    rules = list(rules)
    visits = sorted({rule.keys[0] for rule in rules if rule.kind == "visit"})
    return [[rule for rule in rules if visit in _visits_of(rule)] for visit in visits]


def _visits_of(rule: Rule) -> tuple[str, ...]:
    """The visits that a rule speaks of."""
    if rule.kind in {"order", "same-day", "other-day"}:
        return rule.keys
    if rule.kind in {"visit", "daily", "days", "features", "left-handed", "ratio"}:
        return rule.keys[:1]
    return rule.keys[1:2] if rule.kind == "pinned" else ()


def _squads(rules: Iterable[Rule]) -> list[list[Rule]]:
    return _bundles((rule for rule in rules if rule.kind == "visit"), lambda rule: rule.keys[1])


def _kinds(rules: Iterable[Rule]) -> list[list[Rule]]:
    return _bundles((rule for rule in rules if rule.kind != "visit"), lambda rule: rule.kind)


def _subjects(rules: Iterable[Rule]) -> list[list[Rule]]:
    return _bundles(rules, lambda rule: rule.keys[0] if rule.kind == "visit" else rule)


def _one_by_one(rules: Iterable[Rule]) -> list[list[Rule]]:
    return [[rule] for rule in rules]


def _merge(rules: list[Rule]) -> Rule:
    """One rule for a visit and all its squads."""
    kind, keys = rules[0]
    return Rule(kind, (*keys, *(rule.keys[1] for rule in rules[1:])))
