"""The desk's page of squads, and what is done from it."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from lessons.actions.squads import make_squads, wish
from lessons.models import SquadMember, SquadWish
from school.models import Account, School
from tests.factories import EnrolmentFactory, SchoolFactory, StaffFactory
from tests.lessons.factories import PlanFactory, SquadFactory, SquadMemberFactory

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
URLS = (
    *("squads", "squad_check", "squad_move", "squad_swap", "squads_remake"),
    "squad_wish",
)


@pytest.fixture
def desk(client_of: ClientOf, front_desk: Account) -> Client:
    return client_of(front_desk)


@pytest.fixture
def school() -> School:
    """Two squads: Ann and Bo, Cy and Di."""
    made: School = SchoolFactory.create()
    for names in (("Ann", "Bo"), ("Cy", "Di")):
        squad = SquadFactory.create(school=made)
        for name in names:
            SquadMemberFactory.create(squad=squad, enrolment__golfer__full_name=name)
    return made


def member(name: str) -> SquadMember:
    return SquadMember.objects.get(enrolment__golfer__full_name=name)


def page(desk: Client, school: School) -> str:
    return desk.get(reverse("squads", args=[school.pk])).content.decode()


def post(desk: Client, name: str, school: School, **sent: object) -> str:
    url = reverse(name, args=[school.pk])
    return desk.post(url, sent, follow=True).content.decode()


def check(desk: Client, school: School, **asked: object) -> str:
    return desk.get(reverse("squad_check", args=[school.pk], query=asked)).content.decode()


@pytest.mark.parametrize("name", URLS)
def test_only_the_desk_comes_here(client_of: ClientOf, school: School, name: str) -> None:
    everything_else = StaffFactory.create(teaches=True).account
    url = reverse(name, args=[school.pk])
    for client in (client_of(everything_else), client_of(None)):
        assert {client.get(url).status_code, client.post(url).status_code} <= {302, 404}
    only_this = client_of(StaffFactory.create(at_front_desk=True).account)
    assert only_this.get(url).status_code in (200, 405)


def test_without_anybody_the_page_leads_to_the_cohort(desk: Client) -> None:
    assert "nobody has one" in page(desk, SchoolFactory.create())


def test_squads_are_made_and_the_figures_shown(desk: Client) -> None:
    school = SchoolFactory.create()
    EnrolmentFactory.create_batch(5, school=school)
    assert "Make squads" in page(desk, school)
    text = post(desk, "squads_remake", school)
    assert "Everybody is divided into squads." in text
    assert "no squads yet" in text
    assert "3 and 2" in text


def test_wishes_that_contradict_are_told(desk: Client, school: School) -> None:
    school.programme.squad_size = 2
    school.programme.save(update_fields=["squad_size"])
    ann, bo = member("Ann").enrolment, member("Bo").enrolment
    for other in (bo, member("Cy").enrolment):
        SquadWish.objects.create(one=ann, other=other, kind="together")
    text = post(desk, "squads_remake", school)
    assert "Ann, Bo and Cy are to be together, and a squad has 2 places." in text


def test_a_move_is_made_and_what_it_worsens_told(desk: Client, school: School) -> None:
    ann, di = member("Ann"), member("Di")
    wish(one=ann.enrolment, other=di.enrolment, kind="apart", actor=None)
    text = post(desk, "squad_move", school, enrolment=ann.enrolment_id, squad=di.squad_id)
    assert "Ann is in Squad 2 now." in text
    assert "Ann and Di are to be kept apart." in text
    assert member("Ann").squad_id == di.squad_id


def test_a_check_says_it_before_and_moves_nobody(desk: Client, school: School) -> None:
    ann, di = member("Ann"), member("Di")
    text = check(desk, school, enrolment=ann.enrolment_id, squad=di.squad_id)
    assert 'data-verdict="fine"' in text
    assert "Bo would be alone in Squad 1." in text
    assert member("Ann").squad_id == ann.squad_id


def test_a_check_of_nothing_asks_to_choose(desk: Client, school: School) -> None:
    assert "Choose who and where to" in check(desk, school, squad="")
    assert "Choose who and where to" in check(desk, school, one="", other="")


def test_a_check_of_an_exchange(desk: Client, school: School) -> None:
    ann, bo, cy = (member(name).enrolment for name in ("Ann", "Bo", "Cy"))
    assert "are in one squad" in check(desk, school, one=ann.pk, other=bo.pk)
    assert "Nothing speaks against it" in check(desk, school, one=ann.pk, other=cy.pk)


def test_a_move_to_nowhere_moves_nobody(desk: Client, school: School) -> None:
    ann = member("Ann")
    text = post(desk, "squad_move", school, enrolment=ann.enrolment_id, squad="999")
    assert "Nobody was moved." in text


def test_a_new_squad_is_opened_for_one(desk: Client, school: School) -> None:
    PlanFactory.create(school=school, published=True)
    text = post(desk, "squad_move", school, enrolment=member("Ann").enrolment_id, squad="new")
    assert "a new squad has no sessions in it: plan again." in text
    assert member("Ann").squad.number == 3


def test_two_are_exchanged_or_the_form_says_why_not(desk: Client, school: School) -> None:
    ann, bo, cy = (member(name).enrolment for name in ("Ann", "Bo", "Cy"))
    assert "are in one squad" in post(desk, "squad_swap", school, one=ann.pk, other=bo.pk)
    text = post(desk, "squad_swap", school, one=ann.pk, other=cy.pk)
    assert "are in each other" in text
    assert member("Ann").squad.number == 2


def test_a_wish_is_noted_listed_and_dropped(desk: Client, school: School) -> None:
    ann, cy = member("Ann").enrolment, member("Cy").enrolment
    text = post(desk, "squad_wish", school, one=cy.pk, other=ann.pk, kind="together")
    assert "Ann and Cy together" in text
    assert "Not kept" in text
    url = reverse("squad_wish_drop", args=[school.pk, SquadWish.objects.get().pk])
    assert "Nobody is to be kept together" in desk.post(url, follow=True).content.decode()


def test_a_refused_wish_keeps_what_was_chosen(desk: Client, school: School) -> None:
    ann = member("Ann").enrolment
    text = post(desk, "squad_wish", school, one=ann.pk, other=ann.pk, kind="apart")
    assert "Choose two attendees who have a seat" in text
    assert f'<option value="{ann.pk}" selected>' in text


def test_a_wish_of_another_school_is_not_dropped_here(desk: Client, school: School) -> None:
    ann, cy = member("Ann").enrolment, member("Cy").enrolment
    made = wish(one=ann, other=cy, kind="apart", actor=None)
    url = reverse("squad_wish_drop", args=[SchoolFactory.create().pk, made.pk])
    assert desk.post(url).status_code == 404


def test_newcomers_are_given_places(desk: Client, school: School) -> None:
    newcomer = EnrolmentFactory.create(school=school, golfer__full_name="Nell")
    assert "Without a squad" in page(desk, school)
    text = post(desk, "squads_remake", school, newcomers="1")
    assert "Everybody has a squad now." in text
    assert newcomer.squad_member.squad.school == school


def test_a_closed_school_is_shown_and_not_changed(desk: Client, school: School) -> None:
    School.objects.filter(pk=school.pk).update(state="closed", closed_at=timezone.now())
    assert "Exchange two" not in page(desk, school)
    assert "its squads stay as they were" in post(desk, "squads_remake", school)


def test_the_page_and_the_check_cost_the_same_for_more_golfers(desk: Client) -> None:
    def counted(school: School) -> list[int]:
        make_squads(school=school, actor=None)
        enrolments = list(school.enrolments.all())
        wish(one=enrolments[0], other=enrolments[-1], kind="apart", actor=None)
        counts = []
        for query in ("", f"?enrolment={enrolments[0].pk}&squad=new"):
            name = "squad_check" if query else "squads"
            with CaptureQueriesContext(connection) as queries:
                desk.get(reverse(name, args=[school.pk]) + query)
            counts.append(len(queries))
        return counts

    small, large = SchoolFactory.create(), SchoolFactory.create()
    EnrolmentFactory.create_batch(5, school=small)
    EnrolmentFactory.create_batch(10, school=large)
    assert counted(small) == counted(large)
