"""A code by e-mail: for golfers alone, once, for ten minutes, five tries, three a quarter hour."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from school.actions.sign_in_codes import redeem_code, send_code
from school.errors import CodeRefused
from school.models import Account, AuditEntry, Golfer, Message, SignInCode
from tests.factories import GolferFactory

pytestmark = pytest.mark.django_db


def code_for(account: Account) -> str:
    """Ask for a code and read it in the e-mail."""
    assert send_code(account.email)
    message = Message.objects.filter(to=account.email).latest("pk")
    found = re.search(r"\b\d{6}\b", message.body)
    assert found
    return found[0]


def wrong(code: str) -> str:
    return f"{(int(code) + 1) % 1_000_000:06}"


def test_the_code_signs_in(golfer: Account) -> None:
    code = code_for(golfer)
    assert redeem_code(email=golfer.email.upper(), number=f" {code[:3]} {code[3:]} ") == golfer
    assert AuditEntry.objects.filter(verb="sign_in_by_code", actor=golfer).exists()


def test_only_a_hash_is_kept_beside_the_message(golfer: Account) -> None:
    assert code_for(golfer) not in SignInCode.objects.get().code_hash


def test_it_works_once(golfer: Account) -> None:
    code = code_for(golfer)
    redeem_code(email=golfer.email, number=code)
    with pytest.raises(CodeRefused):
        redeem_code(email=golfer.email, number=code)


def test_it_is_too_old_after_ten_minutes(golfer: Account) -> None:
    code = code_for(golfer)
    assert SignInCode.objects.get().ends_at - timezone.now() < timedelta(minutes=10)
    SignInCode.objects.update(ends_at=timezone.now())
    with pytest.raises(CodeRefused):
        redeem_code(email=golfer.email, number=code)


@pytest.mark.parametrize(("wrong_tries", "is_in"), [(4, True), (5, False)])
def test_five_tries_are_all(golfer: Account, wrong_tries: int, is_in: bool) -> None:
    code = code_for(golfer)
    for _ in range(wrong_tries):
        with pytest.raises(CodeRefused):
            redeem_code(email=golfer.email, number=wrong(code))
    if is_in:
        assert redeem_code(email=golfer.email, number=code) == golfer
    else:
        with pytest.raises(CodeRefused):
            redeem_code(email=golfer.email, number=code)
    assert SignInCode.objects.get().tries == 5


def test_a_newer_code_ends_the_older(golfer: Account) -> None:
    old, new = code_for(golfer), code_for(golfer)
    if old != new:
        with pytest.raises(CodeRefused):
            redeem_code(email=golfer.email, number=old)
    assert redeem_code(email=golfer.email, number=new) == golfer


def test_three_codes_in_a_quarter_of_an_hour(golfer: Account) -> None:
    assert [send_code(golfer.email) for _ in range(4)] == [True, True, True, False]
    SignInCode.objects.update(made_at=timezone.now() - timedelta(minutes=15, seconds=1))
    assert send_code(golfer.email)


def test_a_golfer_on_file_gets_an_account(db: None) -> None:
    golfer = GolferFactory.create(full_name="Alma Alder", email="Alma@example.org")
    assert send_code("alma@example.org")
    golfer.refresh_from_db()
    assert golfer.account is not None
    assert (golfer.account.full_name, golfer.account.has_usable_password()) == ("Alma Alder", False)
    assert AuditEntry.objects.filter(verb="open_account").exists()


def test_an_email_shared_by_a_family_opens_nobody(db: None) -> None:
    GolferFactory.create_batch(2, email="family@example.org")
    assert not send_code("family@example.org")
    assert not Golfer.objects.filter(account__isnull=False).exists()


def test_a_merged_row_does_not_count_as_family(db: None) -> None:
    kept = GolferFactory.create(email="alma@example.org")
    GolferFactory.create(email="alma@example.org", merged_into=kept)
    assert send_code("alma@example.org")


@pytest.mark.parametrize("who", ["owner", "front_desk", "instructor", "stranger"])
def test_nobody_else_gets_a_code(request: pytest.FixtureRequest, who: str) -> None:
    assert not send_code(request.getfixturevalue(who).email)
    assert not Message.objects.exists()


def test_staff_who_also_play_keep_to_their_password(front_desk: Account) -> None:
    GolferFactory.create(account=front_desk, email=front_desk.email)
    assert not send_code(front_desk.email)


def test_who_became_staff_meanwhile_is_refused(golfer: Account) -> None:
    code = code_for(golfer)
    Account.objects.filter(pk=golfer.pk).update(is_staff=True)
    with pytest.raises(CodeRefused):
        redeem_code(email=golfer.email, number=code)


def test_a_closed_account_gets_none(golfer: Account) -> None:
    Account.objects.update(is_active=False)
    assert not send_code(golfer.email)


def test_an_unknown_address_is_refused_in_the_same_words(golfer: Account) -> None:
    code = code_for(golfer)
    with pytest.raises(CodeRefused) as unknown:
        redeem_code(email="nobody@example.org", number="123456")
    with pytest.raises(CodeRefused) as mistaken:
        redeem_code(email=golfer.email, number=wrong(code))
    assert str(unknown.value) == str(mistaken.value)
