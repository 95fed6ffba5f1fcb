"""Find a plan, then make it better goal by goal within one shared time limit.

1. Plain reasons that rule out any plan are looked for first.
2. A first plan is found with no goal in mind; beside a published one, with the fewest golfers
   moved, raised from none until there is a plan.
3. The goals are taken in four stages: golfers moved, sessions changed, what is counted, walking.
   All goals of a stage are minimised together, each weighed so that one unit of it outweighs the
   most that all later ones can be. The bound on that sum, read as a number of mixed radix, bounds
   each goal whose earlier ones are proven.
4. Each goal of the stage still open is minimised alone from the plan reached so far, the earlier
   ones kept. Walking is first bounded and shortened by timetables of single squads, which does far
   more for it than the model by itself.

Two workers search unless told otherwise. With one worker the same seed gives the same plan as
long as the clock does not cut the search off; with more, the goals proven are the same but the
plan need not be. (Letting two workers take turns at fixed points would repeat the plan too, at
several times the price.)
"""

import threading
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from math import ceil
from typing import Any, TypeVar

from ortools.sat.python import cp_model

from lessons.planner import PLANNER_VERSION
from lessons.planner.goals import GOALS, GoalRule
from lessons.planner.model import Literal, Model
from lessons.planner.plan import (
    Conflict,
    Goal,
    NoPlan,
    OutOfTime,
    Placement,
    Plan,
    Progress,
    WayOut,
)
from lessons.planner.problem import Problem, validate
from lessons.planner.reasons.plain_reasons import plain_reasons
from lessons.planner.reasons.ways_out import ways_out
from lessons.planner.reasons.why_not import explain
from lessons.planner.symmetry import in_order
from lessons.planner.walks.bounds import Walks
from lessons.planner.walks.improve import improve
from lessons.planner.walks.routes import NotCovered
from lessons.planner.watch import Watch

Report = Callable[[Progress], bool]
T = TypeVar("T")

STAGES = (("moved",), ("changed",), ("idle", "lead", "same_instructor", "fairness", "preference"))
STAGE_SHARE = 0.5
TOGETHER_SHARE = 0.5
TIGHTEN_SHARE = 0.3
SHORTEN_SHARE = 0.9


def solve(
    problem: Problem,
    *,
    seconds: float,
    seed: int = 1,
    on_progress: Report | None = None,
    workers: int = 2,
) -> Plan:
    """Plan one school.

    Parameters
    ----------
    seconds
        Wall time for everything, including the explanation when there is no plan.
    on_progress
        Called on the caller's thread with each better plan and at least once a second. False
        takes what there is; what it raises ends the search.

    Raises
    ------
    ProblemError
        If the problem contradicts itself.
    NoPlan
        If the rules cannot all hold, with the ones that clash.
    OutOfTime
        If the time ended, or the search was ended, before the first plan.
    """
    validate(problem)
    reasons = plain_reasons(problem)
    search = Search(problem, seconds, seed, workers, on_progress)
    if reasons:
        ways = search.ways_out(reasons)
        raise NoPlan(reasons, together=False, minimal=len(reasons) == 1, ways_out=ways)
    if not search.first_plan():
        conflicts, minimal = search.why_not()
        raise NoPlan(conflicts, minimal=minimal, ways_out=search.ways_out(conflicts))
    return search.best_plan()


class Search:
    """One problem's model, the best plan so far, the bounds and the clock."""

    def __init__(
        self, problem: Problem, seconds: float, seed: int, workers: int, on_progress: Report | None
    ) -> None:
        self.problem = problem
        self.began = time.monotonic()
        self.seconds = seconds
        self.seed = seed
        self.on_progress = on_progress
        self.stopped = False
        self.model = Model(problem)
        self.rules = [rule for rule in GOALS if rule.applies(problem)]
        self.terms: dict[str, Literal] = {}
        self.bounds = {rule.name: rule.floor(problem) for rule in self.rules}
        self.solver = cp_model.CpSolver()
        self.solver.parameters.num_workers = workers
        self.solver.parameters.random_seed = seed
        self.solver.parameters.cp_model_probing_level = 0  # costs more than it saves here
        self.placements: tuple[Placement, ...] = ()

    def spent(self) -> float:
        return time.monotonic() - self.began

    def left(self) -> float:
        return 0.0 if self.stopped else max(0.0, self.seconds - self.spent())

    def why_not(self) -> tuple[list[Conflict], bool]:
        """The rules that clash, looked for in half of the time left."""
        return self._explained("why not", explain, self.problem)

    def ways_out(self, conflicts: Sequence[Conflict]) -> tuple[WayOut, ...]:
        """What could give, looked for in half of the time left."""
        return self._explained("ways out", ways_out, self.problem, conflicts)

    def _explained(self, step: str, look: Callable[..., T], *about: object) -> T:
        over, seconds = threading.Event(), self.left() / 2

        def work() -> T:
            return look(*about, seconds=seconds, seed=self.seed, stopped=over.is_set)

        found: T = self.watched(step, work, stop=over.set)
        return found

    def first_plan(self) -> bool:
        """Find a first plan; false when proven there is none."""
        if self.problem.published:
            self.model.hint(self.problem.published)
            self._fewest_moved(self.rules[0], self.left() * STAGE_SHARE)
            if self.placements:
                return True
        status = self._run("first plan", self.left())
        if status == cp_model.UNKNOWN:
            seconds = min(self.spent(), self.seconds)
            raise OutOfTime(f"No plan was found in {seconds:.0f} s, and none ruled out.")
        return bool(status != cp_model.INFEASIBLE)

    def best_plan(self) -> Plan:
        """The first plan, made better as far as the time allows."""
        first_seconds = self.spent()
        goals = self.improve()
        status = "optimal" if all(goal.proven for goal in goals) else "feasible"
        return Plan(
            self.placements,
            goals,
            status,
            self.seed,
            self.spent(),
            PLANNER_VERSION,
            first_seconds,
        )

    def _fewest_moved(self, rule: GoalRule, seconds: float) -> None:
        """Raise the number of golfers moved until there is a plan or the time is used.

        Where few need to move this finds and proves it sooner than going down from any plan.
        """
        ends = self.spent() + seconds
        moved = self.terms[rule.name] = rule.model(self.model)
        for golfers in _sums(squad.size for squad in self.problem.squads):
            self._bound(rule, golfers)
            within = self.model.cp.new_bool_var("")
            self.model.cp.add(moved <= golfers).only_enforce_if(within)
            self.model.cp.add_assumption(within)
            status = self._run(rule.name, ends - self.spent())
            self.model.cp.clear_assumptions()
            if status != cp_model.INFEASIBLE:
                return
            self.model.cp.add(~within == 1)

    def improve(self) -> tuple[Goal, ...]:
        """Take the goals stage by stage."""
        named = {name for stage in STAGES for name in stage}
        stages = [
            *([rule for rule in self.rules if rule.name in stage] for stage in STAGES),
            [rule for rule in self.rules if rule.name not in named],
        ]
        for number, stage in enumerate(stages):
            if not self.left():
                break
            last = not any(stages[number + 1 :])
            if [rule.name for rule in stage] == ["walking"] and self._open(stage[0]):
                self._shorten(stage[0], self.left() * SHORTEN_SHARE)
            self._stage(stage, self.left() * (1 if last else STAGE_SHARE))
        return tuple(
            Goal(rule.name, value, bound := self.bounds[rule.name], proven=value <= bound)
            for rule in self.rules
            for value in [self._value(rule)]
        )

    def _shorten(self, walking: GoalRule, seconds: float) -> None:
        """Bound the walking by timetables of single squads, and shorten it with them."""
        kept = {rule.name: self._value(rule) for rule in self.rules if rule is not walking}
        watch, over, ends = Watch(), threading.Event(), self.spent() + seconds

        def better(plan: tuple[Placement, ...]) -> bool:
            watch.found(plan)
            return not over.is_set()

        def work() -> None:
            walks = None
            with suppress(NotCovered):
                walks = Walks(self.problem, kept, self.seed)
                walks.tighten(seconds * TIGHTEN_SHARE, stopped=over.is_set)
                self._bound(walking, walks.bound)
            improve(
                self.problem,
                self.placements,
                kept=kept,
                seconds=ends - self.spent(),
                seed=self.seed,
                on_progress=better,
                walks=walks,
                stopped=over.is_set,
                workers=self.solver.parameters.num_workers,
            )

        self.watched(walking.name, work, watch=watch, stop=over.set)
        self.model.hint(in_order(self.problem, self.placements))
        term = self.terms[walking.name] = walking.model(self.model)
        self.model.cp.add(term <= self._value(walking))

    def _value(self, rule: GoalRule) -> int:
        return rule.count(self.problem, self.placements)

    def _open(self, rule: GoalRule) -> bool:
        return self._value(rule) > self.bounds[rule.name]

    def _stage(self, rules: Sequence[GoalRule], seconds: float) -> None:
        """Take the goals of a stage together, then one by one those not proven yet."""
        ends = self.spent() + seconds
        for rule in rules:
            if rule.name not in self.terms:
                self.terms[rule.name] = rule.model(self.model)
            term: Any = self.terms[rule.name]
            self.model.cp.add(term >= self.bounds[rule.name])
        if len(rules) > 1 and any(map(self._open, rules)):
            self._together(rules, seconds * TOGETHER_SHARE)
        for number, rule in enumerate(rules):
            if self._open(rule):
                share = max(0.0, ends - self.spent()) / (len(rules) - number)
                self._alone(rule, share)
            self.model.cp.add(self.terms[rule.name] <= self._value(rule))

    def _together(self, rules: Sequence[GoalRule], seconds: float) -> None:
        """Minimise the goals weighed in order."""
        weights = [1]
        for rule in rules[:0:-1]:
            weights.insert(0, weights[0] * (rule.most(self.problem) + 1))
        weighed = list(zip(rules, weights, strict=True))
        total = sum(weight * self.terms[rule.name] for rule, weight in weighed)

        def note(bound: int) -> None:
            for rule, weight in weighed:
                self._bound(rule, bound // weight)
                value = self._value(rule)
                if self.bounds[rule.name] < value:
                    break
                bound -= weight * value

        self._minimise("all goals", total, seconds, note)

    def _bound(self, rule: GoalRule, bound: int) -> None:
        self.bounds[rule.name] = max(self.bounds[rule.name], bound)

    def _alone(self, rule: GoalRule, seconds: float) -> None:
        """Minimise one goal from the plan reached so far."""
        term = self.terms[rule.name]
        self._minimise(rule.name, term, seconds, lambda bound: self._bound(rule, bound))

    def _minimise(
        self, step: str, term: Literal, seconds: float, note: Callable[[int], None]
    ) -> None:
        """Minimise a term; note what no plan can go below."""
        if seconds <= 0:
            return
        self.model.cp.minimize(term)
        status = self._run(step, seconds)
        self.model.cp.clear_objective()
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            note(ceil(float(self.solver.best_objective_bound) - 1e-6))

    def _run(self, step: str, seconds: float) -> Any:
        """Solve once; remember the plan found and hint it to the next run."""
        if seconds <= 0:
            return cp_model.UNKNOWN
        self.solver.parameters.max_time_in_seconds = seconds
        watch = Watch()
        callback = _Tell(self.model, watch)
        status = self.watched(
            step,
            lambda: self.solver.solve(self.model.cp, callback),
            watch=watch,
            stop=self.solver.stop_search,
        )
        assert status != cp_model.MODEL_INVALID, self.model.cp.validate()
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.placements = self.model.placements(self.solver)
            self.model.cp.clear_hints()
            for literal in self.model.choices():
                self.model.cp.add_hint(literal, self.solver.boolean_value(literal))
        return status

    def watched(
        self,
        step: str,
        work: Callable[[], Any],
        *,
        watch: Watch | None = None,
        stop: Callable[[], Any] = lambda: None,
    ) -> Any:
        """Do the work and tell of it on the way."""

        def tell(plan: tuple[Placement, ...] | None) -> bool:
            if plan is not None:
                self.placements = plan
            if not self.stopped and self.on_progress:
                self.stopped = not self.on_progress(self._progress(step))
            return not self.stopped

        return (watch or Watch()).over(work, tell, stop)

    def _progress(self, step: str) -> Progress:
        values = {rule.name: self._value(rule) for rule in self.rules if self.placements}
        return Progress(step, values, dict(self.bounds), self.spent())


def _sums(sizes: Iterable[int]) -> list[int]:
    """What some of the numbers add up to, least first."""
    sums = {0}
    for size in sizes:
        sums |= {size + before for before in sums}
    return sorted(sums)


class _Tell(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
    """Tells the watch of each plan as the solver finds it."""

    def __init__(self, model: Model, watch: Watch) -> None:
        super().__init__()
        self.model = model
        self.watch = watch

    def on_solution_callback(self) -> None:
        self.watch.found(self.model.placements(self))
