"""A timetable changed by hand: the grid, a session's choices, and what is done from them."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lessons.models import Plan, Session
from school.models import Account, School
from tests.factories import StaffFactory
from tests.house_by_hand import movable, wish
from tests.lessons.factories import BayFactory, SessionFactory, talk

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]

PAGES = ("plan_edit", "plan_check", "plan_session", "plan_places")
POSTS = ("plan_copy", "plan_move", "plan_pin", "plan_undo")
AS_SCRIPT = {"Accept": "application/json"}


@pytest.fixture
def desk(client_of: ClientOf, front_desk: Account) -> Client:
    return client_of(front_desk)


@pytest.fixture
def session() -> Session:
    return movable()


def url(name: str, session: Session, /, **query: Any) -> str:
    about = [session.pk] if name in ("plan_session", "plan_places") else []
    return reverse(name, args=[session.plan_id, *about], query=query)


def text_of(client: Client, name: str, session: Session, /, **query: Any) -> str:
    answer = client.get(url(name, session, **query))
    assert answer.status_code == 200
    return answer.content.decode()


# Who may


@pytest.mark.parametrize("name", PAGES)
def test_the_desk_alone_is_enough(name: str, session: Session, desk: Client) -> None:
    assert desk.get(url(name, session)).status_code == 200


@pytest.mark.parametrize("name", [*PAGES, *POSTS])
def test_all_but_the_desk_find_nothing(name: str, session: Session, client_of: ClientOf) -> None:
    client = client_of(StaffFactory.create(teaches=True).account)
    assert client.get(url(name, session)).status_code == 404
    assert client.post(url(name, session), wish(session, slot=2)).status_code == 404


# The grid


@pytest.mark.parametrize("by", ["squad", "bay", "instructor"])
def test_a_grid_has_a_card_for_the_session_and_a_column_for_each(
    by: str, session: Session, desk: Client
) -> None:
    text = text_of(desk, "plan_edit", session, by=by)
    name = getattr(session, by)
    assert f'<th scope="col">{getattr(name, "name", name)}</th>' in text
    assert f'data-session="{session.pk}"' in text


def test_the_day_an_earlier_timetable_was_found_is_the_schools(
    session: Session, desk: Client
) -> None:
    School.objects.update(time_zone="Asia/Tokyo")
    night = datetime(2027, 5, 1, 22, 30, tzinfo=UTC)
    Plan.objects.update(published_at=night, finished_at=night)
    assert "timetable found on 2 May" in text_of(desk, "plan_edit", session)


def test_the_address_chooses_the_day_and_nonsense_the_first(session: Session, desk: Client) -> None:
    for asked, shown in (("2", "1"), ("9", "0"), ("x", "0")):
        text = text_of(desk, "plan_edit", session, day=asked)
        assert f'<div data-day="{shown}">' in text
        assert text.count('" hidden>') == 2


def test_a_longer_session_goes_on_in_the_cells_below(session: Session, desk: Client) -> None:
    session.ends_at = session.plan.school.slot_instant(0, 2)
    session.save(update_fields=["ends_at"])
    assert f"{session.visit.name} goes on" in text_of(desk, "plan_edit", session)


def test_a_talk_is_one_card_in_its_bay_and_one_for_each_squad(desk: Client) -> None:
    first, *_ = talk(squads=3, instructors=1)
    Plan.objects.update(is_published=False, published_at=None)
    assert text_of(desk, "plan_edit", first, by="bay").count("data-session=") == 1
    by_squad = text_of(desk, "plan_edit", first)
    assert by_squad.count("data-session=") == 3
    assert "all of Squads 1, 2, 3" in by_squad


def test_a_grid_costs_the_same_for_more_sessions(desk: Client, session: Session) -> None:
    def counted(by: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            text_of(desk, "plan_edit", session, by=by)
        return len(queries)

    before = [counted(by) for by in ("squad", "bay", "instructor")]
    SessionFactory.create_batch(3, plan=session.plan)
    assert [counted(by) for by in ("squad", "bay", "instructor")] == before


def test_a_published_timetable_is_shown_and_copied_to_be_changed(
    desk: Client, session: Session
) -> None:
    Plan.objects.update(is_published=True, published_at=session.starts_at)
    text = text_of(desk, "plan_edit", session)
    assert "Change a copy by hand" in text
    assert "data-session" not in text
    answer = desk.post(url("plan_copy", session))
    copy = Plan.objects.get(based_on=session.plan)
    assert answer.headers["Location"] == reverse("plan_edit", args=[copy.pk])


def test_a_closed_school_offers_no_copy(desk: Client, session: Session) -> None:
    School.objects.update(state=School.State.CLOSED, closed_at=session.starts_at)
    text = text_of(desk, "plan_edit", session)
    assert "The school is closed" in text
    assert '<button class="btn btn-primary"' not in text
    answer = desk.post(url("plan_copy", session), follow=True)
    assert "The school is closed" in answer.content.decode()


def test_what_was_not_found_cannot_be_opened(desk: Client, session: Session) -> None:
    Plan.objects.update(state="parked", reason="None found.")
    assert desk.get(url("plan_edit", session)).status_code == 404


def test_what_keeps_a_draft_from_being_published_is_told(desk: Client, session: Session) -> None:
    assert "Cannot be published yet" not in text_of(desk, "plan_edit", session)
    session.instructor.hours.all().delete()
    text = text_of(desk, "plan_edit", session)
    assert "Cannot be published yet" in text
    assert str(session.instructor) in text


# Where a session could go


def test_every_cell_says_whether_it_fits(desk: Client, session: Session) -> None:
    places = desk.get(url("plan_places", session)).json()["places"]
    assert len(places) == 3 * 8
    assert {place["column"] for place in places} == {session.squad_id}
    assert places[3]["gets"] == f"{session.bay.name} with {session.instructor}"
    assert places[3]["words"] == []


def test_by_bay_and_by_instructor_each_has_its_cells(desk: Client, session: Session) -> None:
    other = BayFactory.create()
    for by, columns in (
        ("bay", {session.bay_id, other.pk}),
        ("instructor", {session.instructor_id}),
    ):
        places = desk.get(url("plan_places", session, by=by)).json()["places"]
        assert {place["column"] for place in places} == columns


def test_what_speaks_against_a_cell_is_said(desk: Client, session: Session) -> None:
    session.instructor.hours.filter(starts_at__lt=session.plan.school.slot_instant(1, 0)).delete()
    first, *_, last = desk.get(url("plan_places", session)).json()["places"]
    assert str(session.instructor) in " ".join(first["words"])
    assert last["words"] == []


def test_a_check_says_the_same_before_the_move(desk: Client, session: Session) -> None:
    fits = desk.get(url("plan_check", session, **wish(session, slot=4))).json()
    assert fits == {"ok": True, "words": []}
    session.instructor.hours.all().delete()
    refused = desk.get(url("plan_check", session, **wish(session, slot=4))).json()
    assert not refused["ok"]
    assert str(session.instructor) in refused["words"][0]


def test_a_check_of_nonsense_says_what_is_wrong(desk: Client, session: Session) -> None:
    answer = desk.get(url("plan_check", session, **wish(session, slot=99))).json()
    assert not answer["ok"]
    assert "Begins at: Select a valid choice" in answer["words"][0]


def test_the_places_cost_the_same_for_more_sessions(desk: Client, session: Session) -> None:
    def counted(name: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert desk.get(url(name, session)).status_code == 200
        return len(queries)

    before = [counted(name) for name in ("plan_places", "plan_session")]
    SessionFactory.create_batch(3, plan=session.plan)
    assert [counted(name) for name in ("plan_places", "plan_session")] == before


def test_a_session_page_lists_every_time_and_offers_those_that_fit(
    desk: Client, session: Session
) -> None:
    session.instructor.hours.filter(starts_at__gt=session.plan.school.slot_instant(0, 7)).delete()
    text = text_of(desk, "plan_session", session)
    assert "Friday 7 May: fits at 8 times" in text
    assert "Saturday 8 May: fits at 0 times" in text
    assert "Not possible" in text
    assert f"{session.bay.name} with {session.instructor}" in text


def test_a_chosen_place_is_tried_and_stands_in_the_form(desk: Client, session: Session) -> None:
    text = text_of(desk, "plan_session", session, **wish(session, day=1, slot=4))
    assert "It fits." in text
    assert '<option value="4" selected>13:00</option>' in text


# Moving, pinning, taking back


def test_a_move_by_the_form_comes_back_to_the_grid(desk: Client, session: Session) -> None:
    answer = desk.post(url("plan_move", session), wish(session, day=1, slot=4), follow=True)
    session.refresh_from_db()
    assert session.starts_at == session.plan.school.slot_instant(1, 4)
    text = answer.content.decode()
    assert session.plan.edits.get().words in text
    assert "Take back the last step" in text


def test_a_refused_move_keeps_what_was_chosen(desk: Client, session: Session) -> None:
    session.instructor.hours.all().delete()
    answer = desk.post(url("plan_move", session), wish(session, day=1, slot=4))
    text = answer.content.decode()
    assert "Not done" in text
    assert str(session.instructor) in text
    assert '<option value="4" selected>13:00</option>' in text
    assert not session.plan.edits.exists()


def test_a_script_is_answered_in_words(desk: Client, session: Session) -> None:
    sent = wish(session, slot=4)
    moved = desk.post(url("plan_move", session), sent, headers=AS_SCRIPT).json()
    assert moved == {"ok": True, "words": []}
    again = desk.post(url("plan_move", session), sent, headers=AS_SCRIPT).json()
    assert not again["ok"]
    assert "is there already" in again["words"][0]


def test_a_session_of_another_timetable_is_not_moved(desk: Client, session: Session) -> None:
    other = movable()
    answer = desk.post(url("plan_move", session), wish(other, slot=4))
    assert answer.status_code == 404
    assert not other.plan.edits.exists()


def test_a_pin_is_put_in_and_taken_out(desk: Client, session: Session) -> None:
    for pinned in ("1", "0"):
        sent = {"session": session.pk, "pinned": pinned, "by": "bay", "day": "1"}
        answer = desk.post(url("plan_pin", session), sent)
        assert answer.headers["Location"] == url("plan_edit", session, by="bay", day="1")
        session.refresh_from_db()
        assert session.is_pinned == (pinned == "1")


def test_the_last_step_is_named_and_taken_back(desk: Client, session: Session) -> None:
    began = session.starts_at
    desk.post(url("plan_move", session), wish(session, slot=4))
    answer = desk.post(url("plan_undo", session), {"by": "squad", "day": "1"}, follow=True)
    session.refresh_from_db()
    assert session.starts_at == began
    assert "Taken back:" in answer.content.decode()
    assert "Nothing is changed yet" in answer.content.decode()


def test_with_no_step_left_that_is_told(desk: Client, session: Session) -> None:
    answer = desk.post(url("plan_undo", session), follow=True)
    assert "There is no step left to take back." in answer.content.decode()
