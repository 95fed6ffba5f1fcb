"""Who may call a view. Every view wears one of these; a test finds those that do not.

Somebody without the job a page is for gets the answer a missing page gives, so that nobody
learns what exists.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponseBase

from school.models import Account, Staff

View = Callable[..., HttpResponseBase]
Test = Callable[[Account], bool]


def staff_of(account: Account) -> Staff | None:
    return getattr(account, "staff", None)


def is_front_desk(account: Account) -> bool:
    """The owner may do all the front desk does; on a small school they are one person."""
    staff = staff_of(account)
    return staff is not None and (staff.at_front_desk or staff.owns)


def is_instructor(account: Account) -> bool:
    staff = staff_of(account)
    return staff is not None and staff.teaches


def runs_or_teaches(account: Account) -> bool:
    return is_front_desk(account) or is_instructor(account)


def is_owner(account: Account) -> bool:
    staff = staff_of(account)
    return staff is not None and staff.owns


def is_golfer(account: Account) -> bool:
    return getattr(account, "golfer", None) is not None


def _guard(name: str, test: Test) -> Callable[[View], View]:
    def wear(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not isinstance(request.user, Account) or not test(request.user):
                raise Http404
            return view(request, *args, **kwargs)

        guarded.guard = name  # type: ignore[attr-defined]
        return guarded

    return wear


desk_only = _guard("desk", is_front_desk)
instructor_only = _guard("instructor", is_instructor)
desk_or_instructor = _guard("desk or instructor", runs_or_teaches)
owner_only = _guard("owner", is_owner)
golfer_only = _guard("golfer", is_golfer)
signed_in = _guard("signed in", lambda account: True)


def public(view: View) -> View:
    """Open to anybody, signed in or not."""
    opened: View = login_not_required(view)
    opened.guard = "public"  # type: ignore[attr-defined]
    return opened


def account_of(request: HttpRequest) -> Account:
    """The signed-in account, for views that a guard has let in."""
    assert isinstance(request.user, Account)
    return request.user
