"""Who works here, and who can sign in."""

from collections.abc import Iterable
from typing import Literal

from django.contrib.auth.tokens import default_token_generator
from django.db import transaction
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from school.actions.audit import note
from school.errors import CannotSignIn
from school.models import Account, Golfer, Staff

Job = Literal["at_front_desk", "teaches", "owns"]


def add_staff(
    *,
    email: str,
    full_name: str,
    jobs: Iterable[Job],
    password: str | None,
    actor: Account | None,
) -> Staff:
    """Make a member of staff and their sign-in; the owner may also open the admin."""
    held = set(jobs)
    with transaction.atomic(durable=True):
        account = Account.objects.create_user(
            email,
            password,
            full_name=full_name,
            is_staff="owns" in held,
            is_superuser="owns" in held,
        )
        staff = Staff(account=account, **dict.fromkeys(held, True))
        staff.full_clean()
        staff.save(force_insert=True)
        note(actor=actor, verb="add_staff", subject=staff, jobs=sorted(held))
    return staff


def invite(*, golfer: Golfer, actor: Account | None) -> str:
    """Open a sign-in for the golfer and return the path at which they choose a password.

    The path works once and for the days of PASSWORD_RESET_TIMEOUT. Asking again makes a new one.

    Raises
    ------
    CannotSignIn
        If the golfer has no e-mail, somebody else signs in with it, or the golfer works here:
        the passwords of staff are not the front desk's to change.
    """
    with transaction.atomic(durable=True):
        account = golfer.account or account_for(golfer)
        if account.is_staff or Staff.objects.filter(account=account).exists():
            raise CannotSignIn(f"{golfer} works here; the owner sets that password.")
        note(actor=actor, verb="invite", subject=golfer)
    uid = urlsafe_base64_encode(force_bytes(account.pk))
    return reverse("choose_password", args=[uid, default_token_generator.make_token(account)])


def account_for(golfer: Golfer) -> Account:
    """A new sign-in of the golfer, without a password; in the caller's transaction.

    Raises CannotSignIn if there is no e-mail on file, or somebody signs in with it.
    """
    if not golfer.email:
        raise CannotSignIn(f"{golfer} has no e-mail on file; add one first.")
    email = golfer.email.lower()
    if Account.objects.filter(email=email).exists():
        raise CannotSignIn(
            f"Somebody already signs in as {email}. Give {golfer} an e-mail of their own."
        )
    account = Account.objects.create_user(email, full_name=golfer.full_name)
    golfer.account = account
    golfer.save(update_fields=["account"])
    return account
