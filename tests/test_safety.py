"""What a visitor with bad intentions tries at every door, and what a parent would ask."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from school.models import Account, Golfer, School
from tests.factories import AccountFactory
from tests.house import House, addresses, build_house, writes
from tests.test_guards import patterns

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
Answers = Callable[[], Iterator[tuple[str, Any]]]

NASTY = "\"'><img src=x onerror=alert(1)>"
PASSWORD = "wind-and-dunes"  # what the factories give everybody
NAMES = [str(entry.name) for _, entry in patterns()]


@pytest.fixture
def house(golfer: Account, other_golfer: Account, instructor: Account) -> House:
    return build_house(golfer=golfer, other_golfer=other_golfer, instructor=instructor)


@pytest.fixture
def answers(
    house: House, owner: Account, instructor: Account, golfer: Account, client_of: ClientOf
) -> Answers:
    """Every address as each of three people finds it, by its name."""

    def look() -> Iterator[tuple[str, Any]]:
        arguments = addresses(house)
        for account in (owner, instructor, golfer):
            client = client_of(account)
            for name in NAMES:
                yield name, client.get(reverse(name, args=arguments.get(name, [])))

    return look


def sign_in(email: str, password: str, onward: str = "", client: Client | None = None) -> Any:
    typed = {"username": email, "password": password, "next": onward}
    return (client or Client()).post(reverse("sign_in"), typed)


def test_no_cache_keeps_what_is_about_people(answers: Answers) -> None:
    """A browser holds the pictures and has to ask each time whether it may still show them."""
    held = {
        name
        for name, answer in answers()
        if not {"private", "no-store"} <= set(answer.headers["Cache-Control"].split(", "))
    }
    assert held == {
        *("still_picture", "still_before_picture", "still_overlay"),
        *("wall_tile", "preview_page"),
    }


def test_every_answer_says_what_a_page_may_load_and_that_its_kind_is_no_guess(
    answers: Answers,
) -> None:
    for name, answer in answers():
        assert "default-src 'self'" in answer.headers["Content-Security-Policy"], name
        assert answer.headers["X-Content-Type-Options"] == "nosniff", name
        assert answer.headers["X-Frame-Options"] == "DENY", name


def test_what_was_typed_is_shown_and_not_run(answers: Answers, house: House) -> None:
    Account.objects.update(full_name=NASTY)
    Golfer.objects.update(full_name=NASTY, care_notes=NASTY, guardian_name=NASTY, phone=NASTY)
    School.objects.filter(pk=house.school.pk).update(name=NASTY, venue=NASTY)
    pages = [
        answer.content.decode()
        for _, answer in answers()
        if answer.headers["Content-Type"].startswith("text/html")
    ]
    assert not any("<img src=x" in page for page in pages)
    assert sum("&lt;img src=x" in page for page in pages) > 20


def test_a_file_is_saved_under_no_name_that_adds_a_header(
    house: House, golfer: Account, client_of: ClientOf
) -> None:
    Golfer.objects.update(full_name='A"; filename="b.exe\r\nSet-Cookie: c=d; ../../e\\f')
    answer = client_of(golfer).get(reverse("report_download", args=[house.report.pk]))
    said = answer.headers["Content-Disposition"]
    assert said.startswith('attachment; filename="A; filename=b.exe')
    assert said.count('"') == 2
    assert not {"\r", "\n", "\\", "/"} & set(said)


SIGNED_BY_A_GATEWAY = {"checkout_return"}  # its server has no page of ours


def test_without_the_token_of_its_page_no_button_works(
    house: House, owner: Account, instructor: Account
) -> None:
    client = Client(enforce_csrf_checks=True)
    for account in (owner, instructor):
        client.force_login(account)
        for name, typed in writes(house).items():
            at = reverse(name, args=addresses(house).get(name, []))
            if name not in SIGNED_BY_A_GATEWAY:
                assert client.post(at, typed).status_code == 403, name


@pytest.mark.parametrize(
    "onward", ["https://example.org/", "//example.org/", "/\\example.org", "javascript:alert(1)"]
)
def test_signing_in_leads_to_no_other_site(onward: str, stranger: Account) -> None:
    assert sign_in(stranger.email, PASSWORD, onward).headers["Location"] == "/"


def test_a_wrong_sign_in_does_not_say_who_has_one(stranger: Account) -> None:
    AccountFactory.create(email="left@example.org", is_active=False)
    Account.objects.create_user("invited@example.org", full_name="Iris Invited")
    tried = [("nobody", PASSWORD), ("left", PASSWORD), ("invited", PASSWORD), ("invited", "!")]
    forms = [sign_in(f"{who}@example.org", word).context["form"] for who, word in tried]
    forms.append(sign_in(stranger.email, "wrong").context["form"])
    assert len({str(form.non_field_errors()) for form in forms}) == 1


def test_a_session_that_somebody_else_began_is_not_signed_in(stranger: Account) -> None:
    client = Client()
    planted = client.session
    planted.save()
    client.cookies["sessionid"] = str(planted.session_key)
    sign_in(stranger.email, PASSWORD, client=client)
    assert client.cookies["sessionid"].value != planted.session_key


def test_an_account_that_was_closed_is_signed_out_everywhere(
    house: House, instructor: Account, client_of: ClientOf
) -> None:
    client, at = client_of(instructor), reverse("still_picture", args=[house.still.pk])
    assert client.get(at).status_code == 200
    Account.objects.filter(pk=instructor.pk).update(is_active=False)
    assert client.get(at).status_code == 302


def test_a_golfer_reads_nothing_of_another(
    house: House, golfer: Account, other_golfer: Account, client_of: ClientOf
) -> None:
    Golfer.objects.filter(account=other_golfer).update(care_notes="Asthma", guardian_name="Gwen")
    client, arguments = client_of(golfer), addresses(house)
    pages = [client.get(reverse(name, args=arguments.get(name, []))) for name in NAMES]
    text = b"".join(page.content for page in pages if not page.streaming)
    assert golfer.full_name.encode() in text
    assert not [
        each for each in (b"Asthma", b"Gwen", other_golfer.full_name.encode()) if each in text
    ]
