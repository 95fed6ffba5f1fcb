"""Whether a plan found earlier still fits what is set up now."""

from collections.abc import Iterator

from lessons.models import Plan, Session
from lessons.planner.problem import Problem
from lessons.queries.problem import problem_for
from lessons.queries.slots import all_slots
from school.models import School


def objections(plan: Plan) -> list[str]:
    """Why the plan can no longer be published, in sentences. Twelve queries.

    Loads, walks and orders were settled when the plan was found; looked at again is what the
    desk changes from day to day: squads, bays, qualifications and hours.
    """
    problem = problem_for(plan.school)
    sessions = list(
        plan.sessions.select_related("visit__station", "squad", "bay", "instructor__staff__account")
    )
    placed = {(str(session.squad_id), str(session.visit_id)) for session in sessions}
    missing = [
        f"{squad.name} has no time for {visit.name}."
        for squad in problem.squads
        for visit in problem.visits
        if (squad.key, visit.key) not in placed
    ]
    now = _Now(plan.school, problem)
    return missing + [words for session in sessions for words in now.objections(session)]


class _Now:
    """What is set up now, by the keys of the rows a session names."""

    def __init__(self, school: School, problem: Problem) -> None:
        self.zone = school.zone
        self.slots = {slot.starts_at: when for when, slot in all_slots(school).items()}
        self.squads = {squad.key: squad for squad in problem.squads}
        self.visits = {visit.key: visit for visit in problem.visits}
        self.bays = {bay.key: bay for bay in problem.bays}
        self.people = {person.key: person for person in problem.instructors}

    def objections(self, session: Session) -> Iterator[str]:
        visit = self.visits.get(str(session.visit_id))
        squad = self.squads.get(str(session.squad_id))
        when = self.slots.get(session.starts_at)
        if visit is None or squad is None:
            yield f"{session} is no longer asked for."
            return
        if when is None:
            yield f"{session} does not begin with a slot of the school."
            return
        bay = self.bays.get(str(session.bay_id))
        if bay is None:
            yield f"{session.bay} is closed."
        elif missing := visit.missing(squad, bay):
            yield f"{session} needs what {bay.name} lacks: {', '.join(sorted(missing))}."
        person = self.people.get(str(session.instructor_id))
        if person is None or visit.station not in person.skills:
            yield f"{session.instructor} does not teach {session.visit.station}."
        elif not {(when[0], when[1] + n) for n in range(visit.slots)} <= person.available:
            local = session.starts_at.astimezone(self.zone)
            yield f"{person.name} does not teach on {local:%A} at {local:%H:%M}."
