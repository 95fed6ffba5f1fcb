"""One module a station. A module that exposes `STATION` is found; nothing else has to know it."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module

from assessments.stations.base import StationModule


@cache
def registry() -> dict[str, StationModule]:
    """Every station of this package by its kind.

    Raises
    ------
    ValueError
        If two modules claim one kind.
    """
    found: dict[str, StationModule] = {}
    for module in pkgutil.iter_modules(__path__):
        station = getattr(import_module(f"{__name__}.{module.name}"), "STATION", None)
        if station is None:
            continue
        if station.kind in found:
            raise ValueError(f"Two stations call themselves {station.kind}.")
        found[station.kind] = station
    return found


@cache
def kinds_on_stills() -> frozenset[str]:
    """The kinds whose entries are marked on a still; others may have one beside them."""
    return frozenset(kind for kind, station in registry().items() if station.needs_still)
