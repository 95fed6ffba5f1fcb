"""Plan a school that is written in a file, with no database: ``manage.py plan_file SCHOOL.json``.

The files are plain JSON, described in `lessons.planner.files.school_plan`. With
``--freeze PLAN.json --from DAY:SLOT`` the plan there is taken as published and what begins before
that slot as over; then as few golfers as can be are moved, and the other goals come after that.
Days and slots are numbered from 0, as in the files.

The command ends with 0 when there is a plan; with 2 when the rules cannot all hold, and then writes
to its output, as JSON, the rules that clash and what would make room; with 2 when a file is wrong,
and with 1 when the time was too short for either, each with words to its error output.
"""

import json
import re
from argparse import ArgumentTypeError
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any, TypeVar

from django.core.management.base import BaseCommand, CommandError, CommandParser

from lessons.planner.files.reading import SchoolPlanError
from lessons.planner.files.school_plan import again_from, read_instance, read_plan, write_plan
from lessons.planner.plan import Goal, NoPlan, OutOfTime, Plan
from lessons.planner.problem import Problem, ProblemError, SlotOfSchool
from lessons.planner.solve import solve

T = TypeVar("T")

OUT_OF_TIME, REFUSED = 1, 2


class Command(BaseCommand):
    help = "Find a timetable for a school that is written in a file."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("instance", type=Path, help="the school, as school-plan/1")
        parser.add_argument("--seconds", type=_seconds, default=60.0, help="time for everything")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--freeze", type=Path, metavar="PLAN", help="the plan published")
        parser.add_argument(
            "--from", type=_slot, dest="start", metavar="DAY:SLOT", help="what is earlier is over"
        )
        parser.add_argument("--out", type=Path, required=True, help="where the plan goes")

    def handle(self, *args: Any, **options: Any) -> None:
        out: Path = options["out"]
        if (options["freeze"] is None) != (options["start"] is None):
            raise CommandError("--freeze and --from go together.", returncode=REFUSED)
        if out.is_dir() or not out.parent.is_dir():
            raise CommandError(f"{out} is no place for a file.", returncode=REFUSED)
        try:
            problem = _problem(options["instance"], options["freeze"], options["start"])
            plan = solve(problem, seconds=options["seconds"], seed=options["seed"])
        except (SchoolPlanError, ProblemError) as error:
            raise CommandError(str(error), returncode=REFUSED) from error
        except OutOfTime as error:
            raise CommandError(str(error), returncode=OUT_OF_TIME) from error
        except NoPlan as error:
            self.stdout.write(json.dumps(_refusal(error), indent=1, ensure_ascii=False))
            raise CommandError("There is no such plan.", returncode=REFUSED) from error
        out.write_text(json.dumps(_plan_file(plan), indent=1) + "\n")
        self.stdout.write("\n".join(_report(plan)))


def _problem(instance: Path, freeze: Path | None, start: SlotOfSchool | None) -> Problem:
    problem = _read(instance, read_instance)
    if freeze is None or start is None:
        return problem
    return again_from(problem, _read(freeze, lambda data: read_plan(data, problem)), start)


def _read(path: Path, reader: Callable[[object], T]) -> T:
    """What the reader makes of the file; whatever is wrong is told with the file's name."""
    try:
        return reader(json.loads(path.read_text()))
    except OSError as error:
        raise SchoolPlanError(f"{path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise SchoolPlanError(f"{path} is not a text in UTF-8.") from error
    except json.JSONDecodeError as error:
        raise SchoolPlanError(f"{path} is not JSON: {error}.") from error
    except SchoolPlanError as error:
        raise SchoolPlanError(f"{path}: {error}") from error


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0 < seconds < 1e6:
        raise ArgumentTypeError(f"{text!r} is not a time in seconds")
    return seconds


def _slot(text: str) -> SlotOfSchool:
    found = re.fullmatch(r"(\d+):(\d+)", text)
    if not found:
        raise ArgumentTypeError(f"{text!r} is not DAY:SLOT, such as 1:4")
    return int(found[1]), int(found[2])


def _refusal(error: NoPlan) -> dict[str, Any]:
    return {
        "conflicts": [asdict(conflict) for conflict in error.conflicts],
        "together": error.together,
        "minimal": error.minimal,
        "ways_out": [asdict(way) for way in error.ways_out],
    }


def _plan_file(plan: Plan) -> dict[str, Any]:
    return {
        **write_plan(plan.placements),
        "goals": [asdict(goal) for goal in plan.goals],
        "seed": plan.seed,
        "seconds": round(plan.seconds, 3),
        "first_seconds": round(plan.first_seconds, 3),
        "planner_version": plan.planner_version,
    }


def _report(plan: Plan) -> list[str]:
    return [
        f"{'goal':<16} {'value':>6} {'bound':>6} {'gap':>7}",
        *(_line(goal) for goal in plan.goals),
        f"first plan after {plan.first_seconds:.2f} s, {plan.status} after {plan.seconds:.2f} s,"
        f" seed {plan.seed}",
    ]


def _line(goal: Goal) -> str:
    """The gap is what lies between value and bound, as a share of the value."""
    share = "proven" if goal.proven else f"{(goal.value - goal.bound) / goal.value:.1%}"
    return f"{goal.name:<16} {goal.value:>6} {goal.bound:>6} {share:>7}"
