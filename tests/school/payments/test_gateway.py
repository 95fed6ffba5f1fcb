"""The seam, and the one gateway that stands in it."""

from decimal import Decimal
from urllib.parse import parse_qs, urlsplit

import pytest
from pytest_django.fixtures import Settings

from school.checks import gateway as gateway_check
from school.errors import CheckoutRefused
from school.payments.gateway import Failed, Paid, payment_gateway
from school.payments.parts import parts_due
from school.payments.sandbox import GATEWAY, answer_url, unsigned


def asked() -> dict[str, str]:
    url = GATEWAY.start(
        amount=Decimal("240"), currency="GBP", reference="r", return_url="http://x/back/"
    )
    return unsigned(parse_qs(urlsplit(url).query)["asked"][0])


def answer(is_paid: bool) -> dict[str, str]:
    url = answer_url(asked(), is_paid=is_paid)
    assert url.startswith("http://x/back/?")
    return {"answer": parse_qs(urlsplit(url).query)["answer"][0]}


def test_the_sandbox_says_what_was_pressed() -> None:
    assert GATEWAY.confirm(answer(is_paid=True)) == Paid("r", Decimal("240.00"), "GBP")
    assert isinstance(GATEWAY.confirm(answer(is_paid=False)), Failed)


@pytest.mark.parametrize("data", [{}, {"answer": "paid"}, {"answer": "e30:1:x"}])
def test_an_answer_that_somebody_made_up_is_refused(data: dict[str, str]) -> None:
    with pytest.raises(CheckoutRefused, match="does not come from the sandbox"):
        GATEWAY.confirm(data)


def test_what_the_sandbox_was_asked_is_no_answer() -> None:
    url = GATEWAY.start(amount=Decimal(5), currency="GBP", reference="r", return_url="http://x/")
    with pytest.raises(CheckoutRefused):
        GATEWAY.confirm({"answer": parse_qs(urlsplit(url).query)["asked"][0]})


def test_the_settings_name_the_gateway(settings: Settings) -> None:
    assert payment_gateway() is GATEWAY
    settings.PAYMENT_GATEWAY = ""
    assert payment_gateway() is None


@pytest.mark.parametrize("name", ["nowhere", "parts"])
def test_a_gateway_that_is_none_stops_the_site(settings: Settings, name: str) -> None:
    settings.PAYMENT_GATEWAY = name
    (found,) = gateway_check()
    assert (found.id, name in found.msg) == ("school.E001", True)


def test_the_gateways_name_fits_its_column() -> None:
    assert len(GATEWAY.name) <= 20
    assert gateway_check() == []


@pytest.mark.parametrize(
    ("deposit", "price", "received", "parts"),
    [
        ("240", "960", "0", ("240", "960")),
        ("240", "960", "100", ("140", "860")),
        ("240", "960", "240", ("0", "720")),
        ("240", "960", "999", ("0", "0")),
        ("240", "200", "0", ("0", "200")),
        ("0", "960", "0", ("0", "960")),
        ("240", "0", "0", ("0", "0")),
    ],
)
def test_what_may_be_paid_at_once(
    deposit: str, price: str, received: str, parts: tuple[str, str]
) -> None:
    found = parts_due(deposit=Decimal(deposit), price=Decimal(price), received=Decimal(received))
    assert (found.deposit, found.balance) == tuple(map(Decimal, parts))
