"""Editing the words of messages in the admin: refused in words, previewed without saving."""

import pytest
from django.test import Client

from school.models import Account, AuditEntry, MessageTemplate
from tests.factories import AccountFactory

pytestmark = pytest.mark.django_db

BASE = "/admin/school/messagetemplate"
GOOD = {"kind": "waiting", "subject": "Wait: {{ school }}", "body": "Dear {{ golfer }},"}


@pytest.fixture
def keeper(db: None) -> Client:
    client = Client()
    client.force_login(AccountFactory.create(is_staff=True, is_superuser=True))
    return client


@pytest.fixture
def row(db: None) -> MessageTemplate:
    return MessageTemplate.objects.create(kind="waiting", subject="s", body="b")


def test_new_words_are_kept_with_a_trail(keeper: Client) -> None:
    keeper.post(f"{BASE}/add/", GOOD)
    assert MessageTemplate.objects.get().subject == "Wait: {{ school }}"
    assert AuditEntry.objects.get().verb == "add"


def test_words_that_cannot_be_sent_are_not_kept(keeper: Client, row: MessageTemplate) -> None:
    typed = {**GOOD, "body": "Dear {{ golfr }},"}
    page = keeper.post(f"{BASE}/{row.pk}/change/", typed).content.decode()
    assert "Not known in this message: {{ golfr }}." in page
    assert "Dear {{ golfr }}," in page
    row.refresh_from_db()
    assert row.body == "b"


def test_the_page_says_which_words_there_are(keeper: Client, row: MessageTemplate) -> None:
    page = keeper.get(f"{BASE}/{row.pk}/change/").content.decode()
    assert "{{ venue }}" in page
    assert "{{ offer_ends }}" not in page
    assert "{{ offer_ends }}" in keeper.get(f"{BASE}/add/").content.decode()
    assert f'formaction="{BASE}/{row.pk}/preview/"' in page


@pytest.mark.parametrize("old", [True, False])
def test_a_preview_shows_invented_values_and_saves_nothing(
    keeper: Client, row: MessageTemplate, old: bool
) -> None:
    if not old:
        row.delete()
    url = f"{BASE}/{row.pk}/preview/" if old else f"{BASE}/add/preview/"
    page = keeper.post(url, GOOD).content.decode()
    assert "Wait: Spring short-game school" in page
    assert "Dear Łukasz Example," in page
    assert not MessageTemplate.objects.filter(subject=GOOD["subject"]).exists()


def test_a_preview_of_bad_words_says_what_is_wrong(keeper: Client, row: MessageTemplate) -> None:
    page = keeper.post(f"{BASE}/{row.pk}/preview/", {**GOOD, "body": "{{ golfr }}"})
    assert "Body: Not known in this message: {{ golfr }}." in page.content.decode()


def test_a_preview_is_for_those_who_may_edit(front_desk: Account, row: MessageTemplate) -> None:
    client = Client()
    client.force_login(front_desk)
    assert client.post(f"{BASE}/{row.pk}/preview/", GOOD).status_code == 302
    Account.objects.filter(pk=front_desk.pk).update(is_staff=True)
    assert client.post(f"{BASE}/{row.pk}/preview/", GOOD).status_code == 403
