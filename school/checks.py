"""System checks of this installation."""

from __future__ import annotations

import ctypes
import ctypes.util
from collections.abc import Sequence
from typing import Any
from zoneinfo import available_timezones

from django.apps import AppConfig
from django.conf import settings
from django.core import checks

from school.payments.gateway import payment_gateway

INSTALL_LINE = (
    "Debian: sudo apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0; "
    "macOS: brew install pango"
)
TEXT_LAYOUT = ("pango", "pangoft2")


@checks.register()
def text_layout(
    app_configs: Sequence[AppConfig] | None = None, **kwargs: Any
) -> list[checks.CheckMessage]:
    """Warn, and let the site start, if the libraries that set a PDF's text are missing.

    Importing the PDF library itself would tell, but costs every command a second.
    """
    missing = missing_libraries()
    if not missing:
        return []
    return [
        checks.Warning(
            f"Reports cannot be made: {' and '.join(missing)} is not installed.",
            hint=INSTALL_LINE,
            id="school.W001",
        )
    ]


@checks.register()
def gateway(
    app_configs: Sequence[AppConfig] | None = None, **kwargs: Any
) -> list[checks.CheckMessage]:
    """Stop a site whose payment gateway does not exist before a golfer tries to pay."""
    try:
        payment_gateway()
    except (ImportError, AttributeError):
        return [
            checks.Error(
                f"There is no payment gateway “{settings.PAYMENT_GATEWAY}”.",
                hint="MARRAM_PAYMENT_GATEWAY names a module of school/payments, or nothing.",
                id="school.E001",
            )
        ]
    return []


@checks.register()
def time_zone(
    app_configs: Sequence[AppConfig] | None = None, **kwargs: Any
) -> list[checks.CheckMessage]:
    """Stop a site whose own time zone does not exist; days of takings are closed by it."""
    if settings.HOUSE_TIME_ZONE in available_timezones():
        return []
    return [
        checks.Error(
            f"“{settings.HOUSE_TIME_ZONE}” is no time zone.",
            hint="Write MARRAM_TIME_ZONE like Europe/London.",
            id="school.E002",
        )
    ]


@checks.register()
def house_on_earth(
    app_configs: Sequence[AppConfig] | None = None, **kwargs: Any
) -> list[checks.CheckMessage]:
    """Stop a site that was told half of where it stands, or a place that is nowhere."""
    latitude, longitude = settings.HOUSE_LATITUDE, settings.HOUSE_LONGITUDE
    if latitude is None and longitude is None:
        return []
    if latitude is None or longitude is None:
        said = "Only one of the house's latitude and longitude is set."
    elif not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        said = "The house's latitude and longitude are no place on earth."
    else:
        return []
    return [
        checks.Error(
            said,
            hint="Set both of MARRAM_LATITUDE (-90 to 90) and MARRAM_LONGITUDE (-180 to 180), in "
            "degrees like 56.34 and -2.8, or neither.",
            id="school.E003",
        )
    ]


def missing_libraries() -> list[str]:
    return [name for name in TEXT_LAYOUT if not _loads(name)]


def _loads(name: str) -> bool:
    """Whether the library loads, looked for as the PDF library does: by file, then by name."""
    candidates = (f"lib{name}-1.0.so.0", f"lib{name}-1.0.dylib", f"lib{name}-1.0-0")
    return any(map(_opens, candidates)) or _opens(ctypes.util.find_library(f"{name}-1.0"))


def _opens(file: str | None) -> bool:
    if file is None:  # CDLL(None) would open this very program
        return False
    try:
        ctypes.CDLL(file)
    except OSError:
        return False
    return True
