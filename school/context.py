"""What every page knows."""

from typing import Any

from django.http import HttpRequest


def house(request: HttpRequest) -> dict[str, Any]:
    return {"nav_items": []}
