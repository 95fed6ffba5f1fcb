"""The instructor's day, one session, and the day sheet for everybody's wall."""

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lessons.access import school_to_teach, session_to_teach
from lessons.queries.groups import Group
from lessons.queries.plans import published_plan
from lessons.queries.squads import squads_of
from lessons.queries.teaching import attendees_of, recorded_anywhere, talk_of, teaching_day
from lessons.queries.timetable import timetable_of
from school.guards import account_of, instructor_only, signed_in


@instructor_only
@require_GET
def my_day(request: HttpRequest, day: date | None = None) -> HttpResponse:
    return render(request, "lessons/my_day.html", {"day": teaching_day(account_of(request), day)})


@signed_in
@require_GET
def session(request: HttpRequest, pk: int) -> HttpResponse:
    found = session_to_teach(account_of(request), pk)
    day = found.starts_at.astimezone(found.plan.school.zone).date()
    talk = talk_of(found)
    context = {
        "session": found,
        "squads": Group.squads_of(talk),
        "is_talk": len(talk) > 1,
        "day": day,
        "attendees": attendees_of(talk, day),
        "anywhere": recorded_anywhere(found),
    }
    return render(request, "lessons/session.html", context)


@signed_in
@require_GET
def day_sheet(request: HttpRequest, pk: int, day: int) -> HttpResponse:
    school = school_to_teach(account_of(request), pk)
    plan = published_plan(school)
    if plan is None or not 1 <= day <= len(school.dates):
        raise Http404
    days = timetable_of(plan).days
    members = {squad.name: squad.members for squad in squads_of(school)}
    context = {
        "school": school,
        "days": days,
        "day": days[day - 1],
        "by_squad": [
            (squad, members.get(squad, ()), cells) for squad, cells in days[day - 1].by_squad()
        ],
    }
    return render(request, "lessons/day_sheet.html", context)
