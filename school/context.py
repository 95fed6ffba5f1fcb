"""What every page knows: the doors that the signed-in person may open."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from school.guards import is_front_desk, is_golfer, is_instructor, is_owner, runs_or_teaches
from school.models import Account, School


@dataclass(frozen=True)
class Door:
    label: str
    url: str
    current: bool = False


DOORS = (
    (is_owner, "Overview", "owner"),
    (is_front_desk, "Schools", "desk"),
    (is_front_desk, "People", "search"),
    (is_front_desk, "Cashbook", "cashbook"),
    (is_front_desk, "Messages", "messages"),
    (is_instructor, "My day", "my_day"),
    (runs_or_teaches, "Filming", "filming_places"),
    (runs_or_teaches, "Drills", "drills"),
    (is_golfer, "My school", "mine"),
)


def doors(account: Account, path: str = "") -> list[Door]:
    """The main pages open to `account`; the one that `path` lies under is marked current."""
    found = []
    for test, label, name in DOORS:
        if test(account):
            url = reverse(name)
            found.append(Door(label, url, path.startswith(url)))
    return found


def house(request: HttpRequest) -> dict[str, Any]:
    user = getattr(request, "user", None)
    if not isinstance(user, Account):
        return {"nav_items": []}
    return {
        "nav_items": doors(user, request.path),
        "is_demo": School.objects.filter(is_demo=True).exists(),
    }
