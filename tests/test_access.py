"""Every address, tried by everybody: who may see it, who may write by it, and nobody else.

200, 201, 204 and 302 are what a page or a button answers to who may use it; 404 is what it answers
to all others, as if it were not there; 405 refuses the method to all alike; "in" sends to the
sign-in.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.db import transaction
from django.test import Client
from django.urls import reverse

from school.models import Account
from tests.house import House, addresses, build_house, writes
from tests.house_by_hand import by_hand_queries
from tests.house_desk import queries
from tests.lessons.factories import SessionFactory, instructor_for
from tests.test_guards import patterns

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]

CAST = (
    *("owner", "front_desk", "instructor", "other_instructor"),
    *("golfer", "other_golfer", "stranger", "signed_out"),
)

SEES = """
                   owner desk instr. other golfer other stranger out
home                302  302  302    302   302    302   200      in
sign_in             302  302  302    302   302    302   302      200
sign_out            405  405  405    405   405    405   405      405
choose_password     302  302  302    302   302    302   302      302
sign_in_code        302  302  302    302   302    302   302      200
sign_in_code_enter  302  302  302    302   302    302   302      302

public_schools      200  200  200    200   200    200   200      200
public_school       200  200  200    200   200    200   200      200
join_start          200  200  200    200   200    200   200      200
join_page           200  200  200    200   200    200   200      200
join_later          200  200  200    200   200    200   200      200
join_done           200  200  200    200   200    200   200      200
offer_answer        200  200  200    200   200    200   200      200
sandbox             200  200  200    200   200    200   200      200
join_resume         302  302  302    302   302    302   302      302
checkout_return     302  302  302    302   302    302   302      302

desk                200  200  404    404   404    404   404      in
school_new          200  200  404    404   404    404   404      in
school              200  200  404    404   404    404   404      in
school_enrol        200  200  404    404   404    404   404      in
school_import       200  200  404    404   404    404   404      in
enrolment           200  200  404    404   404    404   404      in
golfer_edit         200  200  404    404   404    404   404      in
school_open         405  405  404    404   404    404   404      in
school_capacity     405  405  404    404   404    404   404      in
school_close        405  405  404    404   404    404   404      in
enrolment_cancel    200  200  404    404   404    404   404      in
payment_add         405  405  404    404   404    404   404      in
consent_give        405  405  404    404   404    404   404      in
consent_withdraw    405  405  404    404   404    404   404      in
golfer_invite       405  405  404    404   404    404   404      in
ledger_reverse      405  405  404    404   404    404   404      in
offer_seat          405  405  404    404   404    404   404      in
seat_override       405  405  404    404   404    404   404      in
discount_add        405  405  404    404   404    404   404      in
refund_add          405  405  404    404   404    404   404      in

search              200  200  404    404   404    404   404      in
duplicates          200  200  404    404   404    404   404      in
golfer              200  200  404    404   404    404   404      in
golfer_preferences  200  200  404    404   404    404   404      in
my_preferences      404  404  404    404   200    200   404      in
golfer_merge        200  200  404    404   404    404   404      in
enrolment_move      200  200  404    404   404    404   404      in
school_export       200  200  404    404   404    404   404      in
audit_trail         200  200  404    404   404    404   404      in
messages            200  200  404    404   404    404   404      in
message             200  200  404    404   404    404   404      in
message_again       405  405  405    405   405    405   405      in
my_calendar         404  404  404    404   200    404   404      in

cashbook            200  200  404    404   404    404   404      in
day_close           200  200  404    404   404    404   404      in
bank_import         200  200  404    404   404    404   404      in
bank_match          200  200  404    404   404    404   404      in
bank_match_certain  405  405  404    404   404    404   404      in
bank_match_one      405  405  404    404   404    404   404      in
bank_set_aside      405  405  404    404   404    404   404      in
bank_take_up        405  405  404    404   404    404   404      in
pay                 200  404  404    404   404    404   404      in
pay_reverse         405  404  404    404   404    404   404      in
receipt             200  200  404    404   200    404   404      in
statement           200  200  404    404   200    404   404      in
pay_online          404  404  404    404   200    404   404      in
leave               404  404  404    404   200    404   404      in

timetable           200  200  404    404   404    404   404      in
plan_progress       200  200  404    404   404    404   404      in
holds               200  200  404    404   404    404   404      in
plan_request        405  405  404    404   404    404   404      in
plan_publish        405  405  404    404   404    404   404      in
plan_stop           405  405  404    404   404    404   404      in
troubles            200  200  404    404   404    404   404      in
trouble_drop        405  405  404    404   404    404   404      in
replan_request      405  405  404    404   404    404   404      in
plan_edit           200  200  404    404   404    404   404      in
plan_session        200  200  404    404   404    404   404      in
plan_places         200  200  404    404   404    404   404      in
plan_check          200  200  404    404   404    404   404      in
plan_compare        200  200  404    404   404    404   404      in
plan_copy           405  405  404    404   404    404   404      in
plan_move           405  405  404    404   404    404   404      in
plan_pin            405  405  404    404   404    404   404      in
plan_undo           405  405  404    404   404    404   404      in
squads              200  200  404    404   404    404   404      in
squad_check         200  200  404    404   404    404   404      in
squad_move          405  405  404    404   404    404   404      in
squad_swap          405  405  404    404   404    404   404      in
squads_remake       405  405  404    404   404    404   404      in
squad_wish          405  405  404    404   404    404   404      in
squad_wish_drop     405  405  404    404   404    404   404      in
hold_release        405  405  404    404   404    404   404      in
owner               200  404  404    404   404    404   404      in
day_sheet           200  200  200    404   404    404   404      in
session             200  200  200    404   404    404   404      in
my_day              404  404  200    200   404    404   404      in
my_day_on           404  404  200    200   404    404   404      in
my_hours            404  404  200    200   404    404   404      in
hours_set           404  404  405    405   404    404   404      in

entry_new           404  404  200    404   404    404   404      in
still_mark          404  404  200    404   404    404   404      in
entry_detail        200  200  200    404   200    404   404      in
still_picture       200  200  200    404   200    404   404      in
still_before_picture 200 200  200    404   200    404   404      in
still_overlay       200  200  200    404   200    404   404      in
wall                200  200  200    404   404    404   404      in
wall_present        200  200  200    404   404    404   404      in
wall_tile           200  200  200    404   404    404   404      in
wall_sheet_pdf      200  200  200    404   404    404   404      in
wall_sheet_png      200  200  200    404   404    404   404      in
still_export        200  200  200    404   404    404   404      in
still_reference     405  405  405    405   405    405   405      in
report_download     200  200  200    404   200    404   404      in
school_reports      200  200  200    404   404    404   404      in
report_progress     200  200  200    404   404    404   404      in
report_sign         404  404  200    404   404    404   404      in
report_preview      404  404  405    405   404    404   404      in
report_unsigned     405  405  405    405   405    405   405      in
report_fetch        405  405  405    405   405    405   405      in
report_send         405  405  405    405   405    405   405      in
report_link_revoke  405  405  405    405   405    405   405      in
report_by_link      200  200  200    200   200    200   200      200
bundle_ask          405  405  405    405   405    405   405      in
bundle_download     200  200  404    404   404    404   404      in
preview_file        404  404  200    404   404    404   404      in
preview_page        404  404  200    404   404    404   404      in
attendee_findings   200  200  200    404   404    404   404      in
mine                404  404  404    404   200    200   404      in
flight_table        404  404  200    404   404    404   404      in
instruments         200  200  200    200   404    404   404      in
instrument          200  200  200    200   404    404   404      in
filming_places      200  200  200    200   404    404   404      in
filming_place_new   200  200  200    200   404    404   404      in
filming_place       200  200  200    200   404    404   404      in
still_add           404  404  302    404   404    404   404      in
still_record        404  404  302    404   404    404   404      in
capture             404  404  200    404   404    404   404      in
stills_bulk         404  404  200    404   404    404   404      in
stills_bulk_add     404  404  405    405   404    404   404      in
marking_queue       404  404  302    404   404    404   404      in
still_again         404  404  302    404   404    404   404      in
report_again        405  405  405    405   405    405   405      in
drills              200  200  200    200   404    404   404      in
drill               200  200  200    200   404    404   404      in
practice_plan       404  404  200    404   404    404   404      in
practice_propose    404  404  405    405   404    404   404      in
studies             200  200  200    200   404    404   404      in
study               200  200  200    200   404    404   404      in
study_next          404  404  302    302   404    404   404      in
study_table         200  200  200    200   404    404   404      in
study_close         405  405  405    405   404    404   404      in
study_force         405  405  405    405   404    404   404      in
"""

WRITES = """
                   owner desk instr. other golfer other stranger out
school_new          302  302  404    404   404    404   404      in
school_open         302  302  404    404   404    404   404      in
school_capacity     302  302  404    404   404    404   404      in
school_close        302  302  404    404   404    404   404      in
school_enrol        302  302  404    404   404    404   404      in
school_import       302  302  404    404   404    404   404      in
golfer_edit         302  302  404    404   404    404   404      in
enrolment_cancel    302  302  404    404   404    404   404      in
payment_add         302  302  404    404   404    404   404      in
consent_give        302  302  404    404   404    404   404      in
consent_withdraw    302  302  404    404   404    404   404      in
golfer_invite       200  200  404    404   404    404   404      in
ledger_reverse      302  302  404    404   404    404   404      in
offer_seat          302  302  404    404   404    404   404      in
seat_override       302  302  404    404   404    404   404      in
discount_add        302  302  404    404   404    404   404      in
refund_add          302  302  404    404   404    404   404      in

join_start          302  302  302    302   302    302   302      302
join_page           302  302  302    302   302    302   302      302
join_later          302  302  302    302   302    302   302      302
offer_answer        302  302  302    302   302    302   302      302
checkout_return     204  204  204    204   204    204   204      204
pay_online          404  404  404    404   302    404   404      in
leave               404  404  404    404   302    404   404      in

golfer_preferences  302  302  404    404   404    404   404      in
my_preferences      404  404  404    404   302    302   404      in
golfer_merge        302  302  404    404   404    404   404      in
enrolment_move      302  302  404    404   404    404   404      in
school_export       200  200  404    404   404    404   404      in
message             302  302  404    404   404    404   404      in
message_again       302  302  404    404   404    404   404      in

day_close           302  302  404    404   404    404   404      in
bank_import         302  302  404    404   404    404   404      in
bank_match_certain  302  302  404    404   404    404   404      in
bank_match_one      302  302  404    404   404    404   404      in
bank_set_aside      302  302  404    404   404    404   404      in
bank_take_up        302  302  404    404   404    404   404      in
pay                 302  404  404    404   404    404   404      in
pay_reverse         302  404  404    404   404    404   404      in

plan_request        302  302  404    404   404    404   404      in
plan_publish        302  302  404    404   404    404   404      in
plan_stop           302  302  404    404   404    404   404      in
troubles            302  302  404    404   404    404   404      in
trouble_drop        302  302  404    404   404    404   404      in
replan_request      302  302  404    404   404    404   404      in
plan_copy           302  302  404    404   404    404   404      in
plan_move           302  302  404    404   404    404   404      in
plan_pin            302  302  404    404   404    404   404      in
plan_undo           302  302  404    404   404    404   404      in
holds               302  302  404    404   404    404   404      in
squad_move          302  302  404    404   404    404   404      in
squad_swap          302  302  404    404   404    404   404      in
squads_remake       302  302  404    404   404    404   404      in
squad_wish          302  302  404    404   404    404   404      in
squad_wish_drop     302  302  404    404   404    404   404      in
hold_release        302  302  404    404   404    404   404      in
hours_set           404  404  302    302   404    404   404      in

entry_new           404  404  302    404   404    404   404      in
still_add           404  404  302    404   404    404   404      in
still_record        404  404  302    404   404    404   404      in
stills_bulk_add     404  404  201    404   404    404   404      in
still_again         404  404  302    404   404    404   404      in
still_reference     302  302  302    404   404    404   404      in
report_again        302  302  404    404   404    404   404      in
report_sign         404  404  302    404   404    404   404      in
report_preview      404  404  302    404   404    404   404      in
report_unsigned     302  302  404    404   404    404   404      in
report_fetch        404  404  404    404   200    404   404      in
report_send         302  302  404    404   404    404   404      in
report_link_revoke  302  302  404    404   404    404   404      in
report_by_link      200  200  200    200   200    200   200      200
bundle_ask          302  302  404    404   404    404   404      in
flight_table        404  404  200    404   404    404   404      in
instrument          302  302  302    302   404    404   404      in
filming_place_new   302  302  302    302   404    404   404      in
filming_place       302  302  302    302   404    404   404      in
practice_plan       404  404  302    404   404    404   404      in
practice_propose    404  404  302    404   404    404   404      in
studies             302  302  302    422   404    404   404      in
study_close         302  302  302    302   404    404   404      in
study_force         302  302  302    302   404    404   404      in
"""


def read(table: str) -> dict[str, dict[str, str]]:
    """What each of the cast is answered, by URL name."""
    rows = [line.split() for line in table.splitlines()[2:] if line]
    assert len({row[0] for row in rows}) == len(rows), "An address stands in the table twice."
    return {name: dict(zip(CAST, answers, strict=True)) for name, *answers in rows}


MAY_SEE, MAY_WRITE = read(SEES), read(WRITES)
DONE = ("200", "201", "204", "302")


@pytest.fixture
def cast(request: pytest.FixtureRequest) -> dict[str, Account | None]:
    return {who: request.getfixturevalue(who) for who in CAST[:-1]} | {"signed_out": None}


@pytest.fixture
def house(cast: dict[str, Any]) -> House:
    """The golfers are of one school; the other instructor teaches in another."""
    SessionFactory.create(instructor=instructor_for(cast["other_instructor"]))
    return build_house(
        golfer=cast["golfer"], other_golfer=cast["other_golfer"], instructor=cast["instructor"]
    )


@pytest.fixture
def clients(cast: dict[str, Account | None], client_of: ClientOf) -> dict[str, Client]:
    return {who: client_of(account) for who, account in cast.items()}


@pytest.fixture
def address(house: House) -> Callable[[str], str]:
    arguments = addresses(house)
    asked = {**queries(house.desk), **by_hand_queries(house.by_hand)}
    return lambda name: reverse(name, args=arguments.get(name, []), query=asked.get(name))


def answered(answer: Any) -> str:
    if answer.status_code == 302 and answer.headers["Location"].startswith("/sign-in/?next="):
        return "in"
    return str(answer.status_code)


def stored() -> dict[str, Any]:
    """Every row of ours and the name of every file."""
    ours = [model for app in ("school", "lessons", "assessments") for model in models_of(app)]
    rows = {str(model._meta): list(model.objects.order_by("pk").values()) for model in ours}
    return rows | {"files": sorted(files_under(""))}


def models_of(app: str) -> list[Any]:
    return list(apps.get_app_config(app).get_models(include_auto_created=True))


def files_under(folder: str) -> Iterator[str]:
    if folder and not default_storage.exists(folder):
        return
    folders, names = default_storage.listdir(folder)
    yield from (f"{folder}/{name}" for name in names)
    for inner in folders:
        yield from files_under(f"{folder}/{inner}".lstrip("/"))


def test_every_address_stands_in_the_table() -> None:
    assert sorted(MAY_SEE) == sorted(str(entry.name) for _, entry in patterns())


def test_who_sees_what(clients: dict[str, Client], address: Callable[[str], str]) -> None:
    before = stored()
    seen = {
        name: {who: answered(client.get(address(name))) for who, client in clients.items()}
        for name in MAY_SEE
    }
    assert seen == MAY_SEE
    assert stored() == before


def test_who_may_not_write_changes_nothing(
    house: House,
    clients: dict[str, Client],
    address: Callable[[str], str],
    messages: list[Any],
) -> None:
    before, sent = stored(), len(messages)
    for name, answers in MAY_WRITE.items():
        for who, wanted in answers.items():
            if wanted not in DONE:
                answer = clients[who].post(address(name), writes(house)[name])
                assert (name, who, answered(answer)) == (name, who, wanted)
        assert (name, stored(), len(messages)) == (name, before, sent)


@contextmanager
def put_back() -> Iterator[None]:
    """What is written in it is undone, as if each address were tried in a house of its own."""
    block = transaction.atomic()
    # an action's outermost block may still be outermost
    block._from_testcase = True  # type: ignore[attr-defined]
    with block:
        yield
        transaction.set_rollback(True)


@pytest.mark.parametrize("who", CAST)
def test_who_may_write_does(
    who: str,
    house: House,
    cast: dict[str, Account | None],
    client_of: ClientOf,
    address: Callable[[str], str],
) -> None:
    sent = writes(house)
    for name, answers in MAY_WRITE.items():
        if answers[who] in DONE:
            with put_back():
                client, before = client_of(cast[who]), stored()
                answer = client.post(address(name), sent[name])
                assert (name, answered(answer)) == (name, answers[who])
                assert stored() != before, name


def test_what_only_shows_takes_nothing_that_is_sent(
    clients: dict[str, Client], address: Callable[[str], str]
) -> None:
    before = stored()
    only_shown = MAY_SEE.keys() - MAY_WRITE.keys()
    for name in sorted(only_shown, key=lambda name: name == "sign_out"):  # that one ends it
        for client in clients.values():
            client.post(address(name))
    assert stored() == before


MADE_UP = {
    "join_resume": ["made-up"],
    "join_later": ["made-up"],
    "join_done": ["made-up"],
    "join_page": ["made-up", "you"],
    "offer_answer": ["1:made-up"],
    "sandbox": [],
}


def test_who_was_given_no_link_finds_nothing(house: House, clients: dict[str, Client]) -> None:
    """What is open to anybody opens by a secret or a signature, to the owner too."""
    before, sent = stored(), writes(house)
    for client in clients.values():
        for name, made_up in MADE_UP.items():
            at = reverse(name, args=made_up)
            answers = client.get(at), client.post(at, sent.get(name))
            assert (name, [each.status_code for each in answers]) == (name, [404, 404])
        answer = client.post(reverse("checkout_return"), {"answer": house.desk.asked})
        assert answer.status_code == 400
    assert stored() == before


def test_no_job_opens_the_admin(clients: dict[str, Client]) -> None:
    for page in ("index", "school_account_changelist", "assessments_still_changelist"):
        answers = {client.get(reverse(f"admin:{page}")).status_code for client in clients.values()}
        assert answers == {302}
