"""Find a plan, then make it better goal by goal within one shared time limit.

1. Plain reasons that rule out any plan are looked for first.
2. A first plan is found with no goal in mind.
3. All goals are minimised together, each weighed so that one unit of it outweighs the most
   that all later ones can be. The bound on that sum, read as a number of mixed radix, bounds
   each goal whose earlier ones are proven.
4. Each goal still open is minimised alone from the plan reached so far, the earlier ones kept.

Step 3 has half of the time left after step 2; each goal of step 4 an even share of the rest,
and what it does not use passes on. Two workers search unless told otherwise. With one worker
the same seed gives the same plan as long as the clock does not cut the search off; with more,
the goals proven are the same but the plan need not be. (Letting two workers take turns at
fixed points would repeat the plan too, at several times the price.)
"""

import queue
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from math import ceil
from typing import Any

from ortools.sat.python import cp_model

from lessons.planner import PLANNER_VERSION
from lessons.planner.goals import GOALS, GoalRule
from lessons.planner.model import Literal, Model
from lessons.planner.plain_reasons import plain_reasons
from lessons.planner.plan import Goal, NoPlan, OutOfTime, Placement, Plan, Progress
from lessons.planner.problem import Problem, validate
from lessons.planner.why_not import explain

Report = Callable[[Progress], None]


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
        Called on the caller's thread with each better plan; what it raises ends the search.

    Raises
    ------
    ProblemError
        If the problem contradicts itself.
    NoPlan
        If the rules cannot all hold, with the ones that clash.
    OutOfTime
        If the time ended before the first plan.
    """
    validate(problem)
    reasons = plain_reasons(problem)
    if reasons:
        raise NoPlan(reasons, together=False, minimal=len(reasons) == 1)
    search = _Search(problem, seconds, seed, workers, on_progress)
    if not search.first_plan():
        conflicts, minimal = explain(problem, seconds=search.left(), seed=seed)
        raise NoPlan(conflicts, minimal=minimal)
    goals = search.improve()
    status = "optimal" if all(goal.proven for goal in goals) else "feasible"
    return Plan(search.placements, goals, status, seed, search.spent(), PLANNER_VERSION)


class _Search:
    """One problem's model, the best plan so far and the clock."""

    def __init__(
        self, problem: Problem, seconds: float, seed: int, workers: int, on_progress: Report | None
    ) -> None:
        self.problem = problem
        self.began = time.monotonic()
        self.seconds = seconds
        self.on_progress = on_progress
        self.model = Model(problem)
        self.rules = [rule for rule in GOALS if rule.applies(problem)]
        self.solver = cp_model.CpSolver()
        self.solver.parameters.num_workers = workers
        self.solver.parameters.random_seed = seed
        self.solver.parameters.cp_model_probing_level = 0  # costs more than it saves here
        self.placements: tuple[Placement, ...] = ()

    def spent(self) -> float:
        return time.monotonic() - self.began

    def left(self) -> float:
        return max(0.0, self.seconds - self.spent())

    def first_plan(self) -> bool:
        """Find any plan; false when it is proven that there is none."""
        status = self._run("first plan", self.left())
        if status == cp_model.UNKNOWN:
            raise OutOfTime(f"No plan was found in {self.seconds:g} s, and none ruled out.")
        return bool(status != cp_model.INFEASIBLE)

    def improve(self) -> tuple[Goal, ...]:
        """Take the goals together, then one by one those not proven yet."""
        terms = [rule.model(self.model) for rule in self.rules]
        bounds = [rule.floor(self.problem) for rule in self.rules]
        for term, floor in zip(terms, bounds, strict=True):
            self.model.cp.add(term >= floor)
        if self._open(bounds):
            bounds = self._together(terms, bounds)
        for number, rule in enumerate(self.rules):
            if bounds[number] < self._value(rule):
                share = self.left() / (len(self.rules) - number)
                bounds[number] = max(bounds[number], self._alone(rule.name, terms[number], share))
            self.model.cp.add(terms[number] <= self._value(rule))
        return tuple(
            Goal(rule.name, self._value(rule), bound, proven=self._value(rule) <= bound)
            for rule, bound in zip(self.rules, bounds, strict=True)
        )

    def _value(self, rule: GoalRule) -> int:
        return rule.count(self.problem, self.placements)

    def _open(self, bounds: list[int]) -> bool:
        return any(
            self._value(rule) > bound for rule, bound in zip(self.rules, bounds, strict=True)
        )

    def _together(self, terms: list[Literal], bounds: list[int]) -> list[int]:
        """Minimise the goals weighed in order; return the bounds this proves."""
        weights = [1]
        for rule in self.rules[:0:-1]:
            weights.insert(0, weights[0] * (rule.most(self.problem) + 1))
        total = sum(weight * term for weight, term in zip(weights, terms, strict=True))
        rest = self._alone("all goals", total, self.left() / 2)
        proven = list(bounds)
        for number, (rule, weight) in enumerate(zip(self.rules, weights, strict=True)):
            value = self._value(rule)
            proven[number] = max(bounds[number], rest // weight)
            if proven[number] < value:
                break
            rest -= weight * value
        return proven

    def _alone(self, step: str, term: Literal, seconds: float) -> int:
        """Minimise one term from the plan reached so far; return its proven bound."""
        if seconds <= 0:
            return 0
        self.model.cp.minimize(term)
        status = self._run(step, seconds)
        self.model.cp.clear_objective()
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return 0
        return ceil(float(self.solver.best_objective_bound) - 1e-6)

    def _run(self, step: str, seconds: float) -> Any:
        """Solve once; remember the plan found and hint it to the next run."""
        self.solver.parameters.max_time_in_seconds = seconds
        status = self._watched(step) if self.on_progress else self.solver.solve(self.model.cp)
        assert status != cp_model.MODEL_INVALID, self.model.cp.validate()
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            self.placements = self.model.placements(self.solver)
            self.model.cp.clear_hints()
            for literal in self.model.choices():
                self.model.cp.add_hint(literal, self.solver.boolean_value(literal))
        return status

    def _watched(self, step: str) -> Any:
        """Solve on another thread, so that progress is told on the caller's own."""
        assert self.on_progress
        watch = _Watch(self.model)
        with ThreadPoolExecutor(max_workers=1) as pool:
            running = pool.submit(self.solver.solve, self.model.cp, watch)
            running.add_done_callback(lambda _: watch.found.put(None))
            try:
                while plan := watch.found.get():
                    values = {rule.name: rule.count(self.problem, plan) for rule in self.rules}
                    self.on_progress(Progress(step, values, {}, self.spent()))
            except BaseException:
                self.solver.stop_search()
                raise
        return running.result()


class _Watch(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
    """Queues each plan as the solver finds it."""

    def __init__(self, model: Model) -> None:
        super().__init__()
        self.model = model
        self.found: queue.SimpleQueue[tuple[Placement, ...] | None] = queue.SimpleQueue()

    def on_solution_callback(self) -> None:
        self.found.put(self.model.placements(self))
