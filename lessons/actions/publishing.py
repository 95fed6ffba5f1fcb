"""Publishing a timetable: its holds take the place of those of the one before."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils import timezone

from lessons.actions.holds import take_turns
from lessons.actions.timetable_news import tell_whose_day_changed
from lessons.errors import BayOrPersonTaken, PlanNotPublishable, first_few
from lessons.models import Hold, Plan
from lessons.queries.clashes import clashes, in_bay, wants_of
from lessons.queries.fit import objections
from lessons.queries.groups import groups_of
from lessons.queries.plans import published_plan
from school.actions.audit import note
from school.models import Account, LeasedJob, School


def publish_plan(*, plan: Plan, actor: Account | None) -> None:
    """Make the plan the school's timetable: its holds replace those of the one before.

    Golfers and instructors whose own day differs are sent a message; the first time, all are.

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
            fresh = Plan.objects.select_related("school__programme").get(pk=plan.pk)
            _refuse_to_publish(fresh)
            before = published_plan(fresh.school)
            Hold.objects.filter(session__plan__school=fresh.school).delete()
            fresh.school.plans.filter(is_published=True).update(is_published=False)
            fresh.is_published, fresh.published_at = True, timezone.now()
            fresh.save(update_fields=["is_published", "published_at"])
            Hold.objects.bulk_create(_holds(fresh))
            tell_whose_day_changed(fresh, before)
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
    """What the plan takes.

    Squads that share a bay take its parts from 1 on, so that no other school gets in beside them.
    Those with another visit, or one more than the bay has parts, meet in a part that is taken:
    the constraint refuses them, as it does an instructor with two sessions at once.
    """
    taken: Counter[tuple[int, int, datetime]] = Counter()
    for group in groups_of(plan):
        people = {session.instructor_id: session for session in group.sessions}
        for pk, session in people.items():
            for each in session.quarter_hours():
                yield Hold(session=session, instructor_id=pk, quarter_hour=each)
        for session in group.sessions:
            for each in session.quarter_hours():
                yield Hold(session=session, squad_id=session.squad_id, quarter_hour=each)
            for each in in_bay(session):
                place = session.bay_id, session.visit_id, each
                part = taken[place] % session.bay.capacity + 1
                taken[place] += 1
                yield Hold(session=session, bay_id=session.bay_id, part=part, quarter_hour=each)
