"""Repeatability studies: drawing the stills, reckoning the result, letting it count."""

from __future__ import annotations

import math
from dataclasses import asdict
from random import Random, SystemRandom
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from assessments.errors import StudyRefused
from assessments.models import FilmingPlace, Still, Study, StudyStill
from assessments.queries.studies import FULL_STUDY, SMALLEST_STUDY, candidates, owner_of_turn
from assessments.stations.impact import MEASURES
from assessments.statistics.repeatability import StudyTooSmall, repeatability
from assessments.statistics.studies import by_still, draw, widest_table
from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.models import Account

TOO_LITTLE = (
    "Two turns that share at least five stills are needed, each marked in both. "
    "Mark some more, or close the study without a result."
)


def open_study(
    *,
    place: FilmingPlace,
    name: str,
    opened_by: Account,
    stills: int = FULL_STUDY,
    markings_wanted: int = 3,
    rng: Random | None = None,
) -> Study:
    """Open a study of a filming place on stills drawn at random, in random order.

    Raises StudyRefused if another is under way there or fewer than eight stills can be drawn.
    """
    drawn = draw(candidates(opened_by).get(place.pk, []), stills, rng or SystemRandom())
    if len(drawn) < SMALLEST_STUDY:
        raise StudyRefused(
            f"A study needs at least {SMALLEST_STUDY} stills. Here are {len(drawn)}: full swings "
            f"filmed at {place}, measured once and not doubtful, of attendees whom you may teach "
            "and who agree to filming."
        )
    study = Study(
        place=place, name=name.strip(), markings_wanted=markings_wanted, opened_by=opened_by
    )
    return in_a_fresh_transaction(lambda: _open(study, drawn))


def _open(study: Study, drawn: list[UUID]) -> Study:
    other = Study.objects.filter(place=study.place, closed_at=None).first()
    if other is not None:
        raise StudyRefused(f"The study “{other}” of {study.place} is under way. Close it first.")
    study.save(force_insert=True)
    StudyStill.objects.bulk_create(
        StudyStill(study=study, still_id=still, order=order)
        for order, still in enumerate(drawn, start=1)
    )
    note(
        actor=study.opened_by,
        verb="open_study",
        subject=study,
        stills=len(drawn),
        place=study.place.name,
    )
    return study


def refuse_unless_of_study(study: Study, still: Still, turn: int, account: Account) -> None:
    """What must hold before a marking joins a study; joins the transaction.

    Raises StudyRefused if the study is closed, the still or the turn is not of it, or another
    person has begun the turn: a turn is of one person, so that habits can be told from slips.
    """
    now = Study.objects.select_for_update().get(pk=study.pk)
    if now.closed_at is not None:
        raise StudyRefused(f"The study “{now}” is closed and takes no more markings.")
    if not now.stills.filter(still=still).exists() or not 1 <= turn <= now.markings_wanted:
        raise StudyRefused(f"The study “{now}” does not ask for this still in turn {turn}.")
    owner = owner_of_turn(now, turn)
    if owner is not None and owner != account:
        raise StudyRefused(
            f"{owner} has begun turn {turn}. Save once more: the marks then count for another "
            "turn, if one is left."
        )


def close_study(*, study: Study, actor: Account) -> Study:
    """Close a study and keep what it found, by measure; a second time changes nothing.

    Every measure is analysed on the stills that have a value in all turns compared. Raises
    StudyRefused, which says how many markings are missing, if no measure has enough of them.
    """
    with transaction.atomic(durable=True):
        now = Study.objects.select_for_update().get(pk=study.pk)
        if now.closed_at is not None:
            return now
        result = _result(now)
        if not result:
            missing = now.stills.count() * now.markings_wanted - now.markings.count()
            raise StudyRefused(f"{missing} markings are missing. {TOO_LITTLE}")
        _close(now, result)
        note(actor=actor, verb="close_study", subject=now, tables=_tables(result))
        return now


def give_up_study(*, study: Study, actor: Account) -> Study:
    """Close a study that will not be finished, without a result; closed ones stay as they are."""
    with transaction.atomic(durable=True):
        now = Study.objects.select_for_update().get(pk=study.pk)
        if now.closed_at is None:
            _close(now, {})
            note(actor=actor, verb="give_up_study", subject=now)
        return now


def _close(study: Study, result: dict[str, Any]) -> None:
    study.closed_at, study.result = timezone.now(), result
    study.save(update_fields=["closed_at", "result"])


def _result(study: Study) -> dict[str, Any]:
    """What the markings show, by measure; measures with too few are left out."""
    markings = list(study.markings.values_list("still", "turn", "values"))
    found = {}
    for measure in MEASURES:
        rows = [
            (still, turn, values[measure.name])
            for still, turn, values in markings
            if measure.name in values
        ]
        try:
            found[measure.name] = _plain(asdict(repeatability(widest_table(by_still(rows)))))
        except StudyTooSmall:
            continue
    return found


def _plain(found: dict[str, Any]) -> dict[str, Any]:
    """As JSON, which knows no infinity."""
    return {
        name: _plain(value)
        if isinstance(value, dict)
        else (value if math.isfinite(value) else None)
        for name, value in found.items()
    }


def _tables(result: dict[str, Any]) -> str:
    sizes = {(found["stills"], found["markings"]) for found in result.values()}
    return ", ".join(f"{stills} stills in {turns} turns" for stills, turns in sorted(sizes))


def put_in_force(*, study: Study, actor: Account) -> Study:
    """Let the spreads that a study found replace the assumed ones of its place.

    Another study of the place that was in force no longer is. Raises StudyRefused for a study
    without a result.
    """
    return in_a_fresh_transaction(lambda: _put_in_force(study, actor))


def _put_in_force(study: Study, actor: Account) -> Study:
    of_place = {
        each.pk: each for each in Study.objects.select_for_update().filter(place=study.place_id)
    }
    now = of_place[study.pk]
    if not now.result:
        raise StudyRefused(f"The study “{now}” has no result that could count.")
    if now.is_in_force:
        return now
    older = next((each for each in of_place.values() if each.is_in_force), None)
    if older is not None:
        _set_in_force(older, False)
    _set_in_force(now, True)
    note(
        actor=actor,
        verb="put_in_force",
        subject=now,
        instead_of=older.name if older else "",
    )
    return now


def take_out_of_force(*, study: Study, actor: Account) -> Study:
    """Go back to the assumed spreads of the place."""
    with transaction.atomic(durable=True):
        now = Study.objects.select_for_update().get(pk=study.pk)
        if now.is_in_force:
            _set_in_force(now, False)
            note(actor=actor, verb="take_out_of_force", subject=now)
        return now


def _set_in_force(study: Study, is_in_force: bool) -> None:
    study.is_in_force = is_in_force
    study.save(update_fields=["is_in_force"])
