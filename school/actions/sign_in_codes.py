"""Signing a golfer in by a code sent to their e-mail, without a password.

Asking gives the same answer to everybody: the page only wakes the worker, and it is the worker
that looks whose e-mail this is. So neither the words, nor the queries, nor the time taken say who
is on file. A wake that is lost loses nothing but a click: whoever waits in vain asks again.

Staff sign in with their passwords alone: a mailbox must not be enough to reach everybody's data.
An e-mail that several golfers share opens none of them, since an account belongs to one golfer;
the front desk invites each in turn.
"""

from __future__ import annotations

import secrets
from datetime import timedelta

from celery import current_app
from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from school.actions.audit import note
from school.actions.messages import send
from school.actions.people import account_for
from school.errors import CannotSignIn, CodeRefused
from school.guards import is_golfer, staff_of
from school.models import Account, Golfer, MessageKind, SignInCode

TASK = "school.send_sign_in_code"
DIGITS = 6
MOST_CODES, WITHIN = 3, timedelta(minutes=15)
REFUSED = "This code is wrong, too old or used before. Check it, or ask for a new one."


def ask_for_code(*, email: str) -> None:
    """Have a code sent to this address if it is a golfer's. Says nothing either way."""
    current_app.send_task(TASK, args=[email.lower()])


def send_code(email: str) -> bool:
    """The worker's job: make a code and put it into the outbox; whether there was anybody to.

    1. Find the golfer who signs in with the address, or the one golfer on file with it.
    2. Refuse a fourth code within a quarter of an hour.
    3. Keep the hash of the code and send the code.
    """
    with transaction.atomic(durable=True):
        account = _golfers_account(email)
        if account is None:
            return False
        now = timezone.now()
        # The lock makes two who ask at once take turns, so that they count each other's codes.
        Account.objects.select_for_update().get(pk=account.pk)
        if account.sign_in_codes.filter(made_at__gt=now - WITHIN).count() >= MOST_CODES:
            return False
        number = f"{secrets.randbelow(10**DIGITS):0{DIGITS}}"
        code = account.sign_in_codes.create(
            code_hash=make_password(number), made_at=now, ends_at=now + SignInCode.LIFE
        )
        send(
            kind=MessageKind.SIGN_IN_CODE,
            to=account.email,
            once_key=f"sign_in_code:{code.pk}",
            context={
                "golfer": account.full_name,
                "code": number,
                "minutes": SignInCode.LIFE // timedelta(minutes=1),
            },
        )
    return True


def redeem_code(*, email: str, number: str) -> Account:
    """The account that the newest code of this address signs in; the code is then used up.

    Raises
    ------
    CodeRefused
        If there is no such code, it is too old, used, or was tried five times. It does not say
        which.
    """
    number = "".join(number.split())
    with transaction.atomic(durable=True):
        account = _redeem(email.lower(), number)
    if account is None:
        raise CodeRefused(REFUSED)
    return account


def _redeem(email: str, number: str) -> Account | None:
    """A try that fails is kept too: it counts, so nothing may be raised in here."""
    newest = (
        SignInCode.objects.filter(account__email=email).select_related("account__staff").first()
    )
    if newest is None or not _may_use_codes(newest.account):
        make_password(number)  # as slow as a look at a real one
        return None
    now = timezone.now()
    live = SignInCode.objects.filter(pk=newest.pk, used_at__isnull=True, ends_at__gt=now)
    counted = live.filter(tries__lt=SignInCode.MOST_TRIES).update(tries=F("tries") + 1)
    is_right = check_password(number, newest.code_hash)
    if not (counted and is_right and live.update(used_at=now)):
        return None
    note(actor=newest.account, verb="sign_in_by_code", subject=newest.account)
    return newest.account


def _golfers_account(email: str) -> Account | None:
    account = Account.objects.select_related("staff", "golfer").filter(email=email).first()
    if account is not None:
        return account if is_golfer(account) and _may_use_codes(account) else None
    on_file = Golfer.objects.filter(email__iexact=email, merged_into__isnull=True)[:2]
    if len(on_file) != 1 or on_file[0].account_id:
        return None
    try:
        opened = account_for(on_file[0])
    except CannotSignIn:
        return None
    note(actor=None, verb="open_account", subject=on_file[0])
    return opened


def _may_use_codes(account: Account) -> bool:
    works_here = account.is_staff or account.is_superuser or staff_of(account) is not None
    return account.is_active and not works_here
