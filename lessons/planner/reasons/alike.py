"""Several things of one kind to give together: as many bays covered, as many people qualified.

They are alike when they are told in the same words but for a name. One more is added at a time,
each time one that changes what still rules out a plan, until there is a plan; then those that are
not needed are left away.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence

from lessons.planner.plan import Conflict
from lessons.planner.problem import Problem
from lessons.planner.reasons.ease import Ease
from lessons.planner.reasons.eases import eases
from lessons.planner.reasons.plain_reasons import plain_reasons
from lessons.planner.words import listed

MOST_ALIKE = 8
"""The most that is asked for of one kind."""


def several_alike(
    problem: Problem,
    conflicts: Sequence[Conflict],
    singles: Sequence[Ease],
    works: Callable[[Ease], bool],
    left: Callable[[], float],
) -> Iterator[Ease]:
    """Sets of like changes that work, as few of each as was found.

    What is found new, and has no name of its own yet, is not asked for twice.

    Parameters
    ----------
    singles
        The single changes, in the order in which their likes are looked at.
    works
        Whether a changed problem is seen to have a plan.
    left
        The seconds left.
    """
    names: dict[str, set[str]] = {}
    there = len(problem.bays), len(problem.instructors)
    for ease in singles:
        if (len(ease.problem.bays), len(ease.problem.instructors)) == there:
            names.setdefault(ease.frame, set()).add(ease.name)
    for frame, alike in names.items():
        if len(alike) > 1 and left() > 0:
            yield from _Grown(problem, conflicts, frame).fewest(works)


class _Grown:
    """Like changes of a problem, and the reasons met on the way that they ease."""

    def __init__(self, problem: Problem, conflicts: Sequence[Conflict], frame: str) -> None:
        self.problem = problem
        self.reasons = list(conflicts)
        self.frame = frame

    def fewest(self, works: Callable[[Ease], bool]) -> Iterator[Ease]:
        """The changes that work and are all needed, as one; nothing when there are none."""
        names: list[str] = []
        while len(names) < MOST_ALIKE:
            together = self.together(names)
            plain = plain_reasons(together.problem)
            self.reasons += [reason for reason in plain if reason not in self.reasons]
            if len(names) > 1 and not (plain and not together.without) and works(together):
                yield self._needed(names, works)
                return
            more = self._next(together, plain)
            if more is None:
                return
            names.append(more)

    def _next(self, together: Ease, plain: Sequence[Conflict]) -> str | None:
        """Another one, such that other reasons are left than before."""
        for ease in self._offered(together.problem, plain or self.reasons, together.without):
            if not plain or ease.without or plain_reasons(ease.problem) != [*plain]:
                return ease.name
        return None

    def _offered(
        self, problem: Problem, reasons: Iterable[Conflict], taken: Iterable[object] = ()
    ) -> list[Ease]:
        found = {
            ease.name: ease
            for reason in reasons
            for ease in eases(problem, reason)
            if ease.frame == self.frame and not (ease.without and ease.without <= {*taken})
        }
        return [found[name] for name in sorted(found)]

    def together(self, names: Sequence[str]) -> Ease:
        """The changes of those names, one after the other, as one."""
        whole = Ease(0, "", self.frame, listed(names), (), self.problem, 0)
        for name in names:
            one = next(e for e in self._offered(whole.problem, self.reasons) if e.name == name)
            whole = Ease(
                whole.size + one.size,
                one.kind,
                self.frame,
                whole.name,
                whole.keys + one.keys,
                one.problem,
                len(names),
                whole.without | one.without,
            )
        return whole

    def _needed(self, names: list[str], works: Callable[[Ease], bool]) -> Ease:
        kept = list(names)
        for name in names[:-1]:
            fewer = [other for other in kept if other != name]
            if len(fewer) > 1 and works(self.together(fewer)):
                kept = fewer
        return self.together(kept)
