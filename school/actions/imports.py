"""Enrolling a whole list at once."""

from school.actions.audit import note
from school.actions.enrolment import join
from school.actions.retry import in_a_fresh_transaction
from school.actions.seats import lock_school
from school.clock import today_at
from school.errors import ImportRefused
from school.golfer_csv import read_golfers
from school.models import Account, School
from school.queries.imports import ImportPlan, plan_import
from school.wording import count_of


def import_golfers(*, school: School, data: bytes | str, actor: Account | None) -> ImportPlan:
    """Enrol every golfer of the list, or nobody; what was done to each row.

    The list is read and judged again here, whatever a dry run has said. Golfers who are in the
    school already are left as they are, so the same list can be imported twice.

    Raises ImportRefused if the list cannot be read or any cell is in error, SchoolIsNotOpen.
    """
    sheet = read_golfers(data, today=today_at(school))

    def body() -> ImportPlan:
        locked = lock_school(school)
        plan = plan_import(locked, sheet)
        if plan.errors:
            wrong = count_of(len(plan.errors), "cell is", "cells are")
            raise ImportRefused(f"Nothing was imported: {wrong} in error.")
        for row in plan.joining:
            join(locked, row.details, row.agreement, actor)
        note(
            actor=actor,
            verb="import_golfers",
            subject=locked,
            rows=len(plan.rows),
            joined=len(plan.joining),
        )
        return plan

    return in_a_fresh_transaction(body)
