"""The list of instruments, and one of them."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from school.models import Account
from tests.assessments.instruments import InstrumentFactory
from tests.school.counting import queries_of

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]


@pytest.fixture
def client(instructor: Account, client_of: ClientOf) -> Client:
    return client_of(instructor)


def test_an_empty_list_says_where_instruments_come_from(client: Client) -> None:
    assert "No instrument yet" in client.get(reverse("instruments")).content.decode()


def test_the_list_says_what_each_gives(client: Client) -> None:
    InstrumentFactory.create(columns={"carry_m": "C", "spin_rpm": "S"}, side_sign=-1)
    page = client.get(reverse("instruments")).content.decode()
    assert "carry, spin rate" in page
    assert "to the left" in page


def test_an_instrument_is_changed(client: Client) -> None:
    row = InstrumentFactory.create(name="Box")
    at = reverse("instrument", args=[row.pk])
    assert 'value="Carry"' in client.get(at).content.decode()
    typed = {"name": "Box", "column_carry_m": "Länge", "unit_carry_m": "yd", "side_sign": "1"}
    assert client.post(at, typed).status_code == 302
    row.refresh_from_db()
    assert (row.columns, row.units) == ({"carry_m": "Länge"}, {"carry_m": "yd"})


def test_a_change_that_will_not_do_keeps_what_was_typed(client: Client) -> None:
    at = reverse("instrument", args=[InstrumentFactory.create().pk])
    page = client.post(at, {"name": "Renamed", "side_sign": "1"}).content.decode()
    assert "Say which column is the carry." in page
    assert 'value="Renamed"' in page


def test_more_instruments_cost_no_more_queries(client: Client) -> None:
    InstrumentFactory.create_batch(2)
    few = queries_of(lambda: client.get(reverse("instruments")))
    InstrumentFactory.create_batch(2)
    assert queries_of(lambda: client.get(reverse("instruments"))) == few
