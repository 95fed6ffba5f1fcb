"""Setting up where stills are filmed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assessments.models import FilmingPlace
from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.models import Account


def add_place(*, settings: Mapping[str, Any], actor: Account) -> FilmingPlace:
    """Set up a filming place from values by the names of its columns.

    Raises ValidationError, with words by column, for what cannot be right.
    """
    return in_a_fresh_transaction(lambda: _add(FilmingPlace(**settings), actor))


def _add(place: FilmingPlace, actor: Account) -> FilmingPlace:
    place.full_clean()
    place.save(force_insert=True)
    note(actor=actor, verb="add_place", subject=place)
    return place


def change_place(
    *, place: FilmingPlace, settings: Mapping[str, Any], actor: Account
) -> FilmingPlace:
    """Change some settings of a place, for the stills that are marked from now on.

    What is recorded already carries the settings it was recorded with and is not touched.

    Raises ValidationError, with words by column, for what cannot be right.
    """
    return in_a_fresh_transaction(lambda: _change(place.pk, settings, actor))


def _change(pk: int, settings: Mapping[str, Any], actor: Account) -> FilmingPlace:
    place = FilmingPlace.objects.select_for_update().get(pk=pk)
    was = {name: getattr(place, name) for name in settings}
    changed = [name for name, value in settings.items() if was[name] != value]
    for name in changed:
        setattr(place, name, settings[name])
    place.full_clean()
    if changed:
        place.save(update_fields=changed)
        note(
            actor=actor,
            verb="change_place",
            subject=place,
            fields=changed,
            was={name: was[name] for name in changed},
        )
    return place
