"""Making one golfer of two entries for the same person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Literal

from school.actions.audit import note
from school.actions.golfers import write_golfer
from school.actions.retry import in_a_fresh_transaction
from school.details import GolferDetails
from school.models import Account, Golfer
from school.queries.duplicates import account_that_stays, refuse_merge
from school.queries.golfers import details_of

Side = Literal["keep", "gone", "both"]
FIELDS = tuple(GolferDetails.__dataclass_fields__)
# What a coach must know of either is true of the one person.
JOINED = "care_notes"


def merge_golfers(
    *, keep: Golfer, gone: Golfer, take: Mapping[str, Side], actor: Account | None
) -> Golfer:
    """Give `keep` all enrolments of `gone` and, field by field, the values that `take` names.

    A field that is not named keeps its value, or gets the other's if it has none. `gone` stays
    as a row that names who it became; money, consents and measurements stay with their
    enrolments. What is overwritten is written into the trail.

    Raises
    ------
    MergeRefused
        If both are live in one school, both sign in, or either was merged before.
    GuardianNeeded
        If an enrolled minor would be left without a guardian.
    ValidationError
        If the chosen values cannot stand together.
    """

    def body() -> Golfer:
        kept, other = _lock(keep, gone)
        refuse_merge(kept, other)
        enrolments = list(other.enrolments.order_by("pk").values_list("pk", flat=True))
        details = merged_details(kept, other, take)
        replaced = _replaced(kept, details)
        _give_account(kept, other)
        other.merged_into = kept
        other.save(update_fields=["account", "merged_into"])
        other.merged.update(merged_into=kept)
        other.enrolments.update(golfer=kept)
        write_golfer(kept, details, actor)
        note(
            actor=actor,
            verb="merge_golfers",
            subject=kept,
            gone=other.pk,
            name=other.full_name,
            enrolments=enrolments,
            replaced=replaced,
        )
        return kept

    return in_a_fresh_transaction(body)


def merged_details(keep: Golfer, gone: Golfer, take: Mapping[str, Side]) -> GolferDetails:
    """The details as `take` chooses them. No query."""
    mine, theirs = details_of(keep), details_of(gone)
    values = {name: _chosen(name, mine, theirs, take.get(name)) for name in FIELDS}
    return replace(mine, **values)


def _chosen(name: str, mine: GolferDetails, theirs: GolferDetails, side: Side | None) -> Any:
    one, other = getattr(mine, name), getattr(theirs, name)
    if side == "both" and name == JOINED:
        return "\n".join(dict.fromkeys(text for text in (one, other) if text))
    if side == "gone" or (side is None and one in ("", None)):
        return other
    return one


def _replaced(kept: Golfer, details: GolferDetails) -> dict[str, str]:
    """The values on file that are about to be overwritten by others, as text."""
    old = details_of(kept)
    return {
        name: str(getattr(old, name))
        for name in FIELDS
        if getattr(old, name) not in ("", None, getattr(details, name))
    }


def _lock(keep: Golfer, gone: Golfer) -> tuple[Golfer, Golfer]:
    """Both as they are now; whoever merges either meanwhile waits for us."""
    rows = (
        Golfer.objects.select_for_update(of=("self",))
        .select_related("account__staff")
        .order_by("pk")
        .in_bulk([keep.pk, gone.pk])
    )
    return rows[keep.pk], rows[gone.pk]


def _give_account(kept: Golfer, other: Golfer) -> None:
    """Leave one sign-in, with the golfer who stays, and shut the other, unused one."""
    stays = account_that_stays(kept, other)
    for account in (kept.account, other.account):
        if account is not None and account != stays:
            account.is_active = False
            account.save(update_fields=["is_active"])
    if stays != kept.account:
        Golfer.objects.filter(pk=other.pk).update(account=None)  # an account has one golfer
        kept.account = stays
        kept.save(update_fields=["account"])
    other.account = None
