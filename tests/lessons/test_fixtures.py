"""What a house can start from is a problem that the planner understands."""

import pytest
from django.core.management import call_command

from lessons.planner.problem import validate
from lessons.queries.problem import problem_for
from school.models import Programme
from tests.factories import SchoolFactory
from tests.lessons.factories import SquadMemberFactory

pytestmark = pytest.mark.django_db


def test_the_standard_programme_fits_the_demos_bays() -> None:
    call_command("loaddata", "standard", "tarnholm/bays", verbosity=0)
    school = SchoolFactory.create(programme=Programme.objects.get())
    SquadMemberFactory.create(squad__school=school)
    problem = problem_for(school)
    validate(problem)
    stations = {visit.name: visit.features for visit in problem.visits}
    offered = [bay.features for bay in problem.bays]
    assert all(any(needs <= has for has in offered) for needs in stations.values())
    assert problem.base == "Clubhouse"


def test_the_talk_has_room_for_every_squad_of_a_full_school() -> None:
    call_command("loaddata", "standard", "tarnholm/bays", verbosity=0)
    programme = Programme.objects.get()
    problem = problem_for(SchoolFactory.create(programme=programme))
    (talk,) = [visit for visit in problem.visits if visit.group]
    room = max(bay.squads for bay in problem.bays if talk.features <= bay.features)
    assert talk.ratio >= programme.capacity
    assert room * programme.squad_size >= programme.capacity
    assert talk.preferred == frozenset({4})
