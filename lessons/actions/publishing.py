"""Publishing a timetable: its holds take the place of those of the one before."""

from collections.abc import Iterator

from django.db import IntegrityError, transaction
from django.utils import timezone

from lessons.actions.holds import take_turns
from lessons.errors import BayOrPersonTaken, PlanNotPublishable, first_few
from lessons.models import Hold, Plan
from lessons.queries.clashes import clashes, wants_of
from lessons.queries.fit import objections
from school.actions.audit import note
from school.models import Account, LeasedJob, School


def publish_plan(*, plan: Plan, actor: Account | None) -> None:
    """Make the plan the school's timetable: its holds replace those of the one before.

    Raises
    ------
    PlanNotPublishable
        If it is not ready, is published already, or no longer fits what is set up.
    BayOrPersonTaken
        If somebody else holds a bay or an instructor it needs. The old timetable stays.
    """
    try:
        with transaction.atomic(durable=True):
            take_turns()
            school = plan.school
            fresh = Plan.objects.select_related("school__programme").get(pk=plan.pk)
            _refuse_to_publish(fresh)
            Hold.objects.filter(session__plan__school=school).delete()
            school.plans.filter(is_published=True).update(is_published=False)
            fresh.is_published, fresh.published_at = True, timezone.now()
            fresh.save(update_fields=["is_published", "published_at"])
            Hold.objects.bulk_create(_holds(fresh))
            note(actor=actor, verb="publish_plan", subject=fresh)
    except IntegrityError:
        _refuse_if_taken(plan)
        raise


def _refuse_to_publish(plan: Plan) -> None:
    if plan.school.state == School.State.CLOSED:
        raise PlanNotPublishable("The school is closed; its timetable stays as it was.")
    if plan.is_published:
        raise PlanNotPublishable("This timetable is already published.")
    if plan.state != LeasedJob.State.DONE:
        raise PlanNotPublishable("This timetable is not ready.")
    _refuse_if_taken(plan)
    if stale := objections(plan):
        raise PlanNotPublishable(
            f"This timetable no longer fits. {first_few(stale)} Make a new timetable."
        )


def _refuse_if_taken(plan: Plan) -> None:
    zone = plan.school.zone
    if taken := clashes(wants_of(plan), but=plan.school):
        words = first_few([clash.words(zone) for clash in taken])
        raise BayOrPersonTaken(f"{words} Nothing was changed; make a new timetable.")


def _holds(plan: Plan) -> Iterator[Hold]:
    for session in plan.sessions.all():
        for quarter_hour in session.quarter_hours():
            for resource in ("bay_id", "instructor_id", "squad_id"):
                yield Hold(
                    session=session,
                    quarter_hour=quarter_hour,
                    **{resource: getattr(session, resource)},
                )
