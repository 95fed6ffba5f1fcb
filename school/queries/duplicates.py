"""Golfers who may be one person, and what making them one would do."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from school.errors import MergeRefused
from school.folding import fold, names_are_similar, phone_key
from school.models import Account, Enrolment, Golfer
from school.queries.search import MOST, golfers_on_file
from school.wording import count_of

# A house telephone or an office's e-mail shared by more than this tells nothing.
MOST_ALIKE = 8


@dataclass(frozen=True)
class Suggestion:
    """Two golfers, the older one first, and why they may be one person, in words."""

    one: Golfer
    other: Golfer
    why: tuple[str, ...]
    names_differ: bool


@dataclass(frozen=True)
class MergePlan:
    """What merging would do. `lines` are sentences; `refusals` says why it cannot be done."""

    lines: tuple[str, ...]
    refusals: tuple[str, ...]


def suggestions(about: Golfer | None = None) -> list[Suggestion]:
    """Pairs on file that may be one person, likeliest first; only those with `about` if given.

    The same birth date counts with a similar name, the same e-mail and the same telephone by
    themselves: families share both, so the words say when the names differ. One query; the
    newest 20,000 golfers are compared.
    """
    golfers = list(golfers_on_file().order_by("-pk")[:MOST])
    why: defaultdict[tuple[int, int], list[str]] = defaultdict(list)
    by_key = {golfer.pk: golfer for golfer in golfers}
    for words, groups in (
        ("the same birth date and a similar name", _by_birth_date(golfers)),
        ("the same e-mail", _groups((g.email.lower(), g) for g in golfers)),
        ("the same telephone", _groups((phone_key(g.phone), g) for g in golfers)),
    ):
        for pair in groups:
            why[pair].append(words)
    wanted = [pair for pair in why if about is None or about.pk in pair]
    found = [_suggestion(by_key, pair, why[pair]) for pair in wanted]
    return sorted(found, key=lambda s: (s.names_differ, -len(s.why), fold(s.one.full_name)))


def _suggestion(
    golfers: dict[int, Golfer], pair: tuple[int, int], why: Iterable[str]
) -> Suggestion:
    one, other = golfers[pair[0]], golfers[pair[1]]
    differ = not names_are_similar(one.full_name, other.full_name)
    return Suggestion(one, other, tuple(why), differ)


def _groups(keyed: Iterable[tuple[Any, Golfer]]) -> list[tuple[int, int]]:
    """Every pair, lower key first, within each small group of golfers that share a key."""
    groups: defaultdict[Any, list[int]] = defaultdict(list)
    for key, golfer in keyed:
        if key:
            groups[key].append(golfer.pk)
    return [
        pair
        for keys in groups.values()
        if len(keys) <= MOST_ALIKE
        for pair in combinations(sorted(keys), 2)
    ]


def _by_birth_date(golfers: list[Golfer]) -> list[tuple[int, int]]:
    born: defaultdict[Any, list[Golfer]] = defaultdict(list)
    for golfer in golfers:
        if golfer.birth_date:
            born[golfer.birth_date].append(golfer)
    return [
        (min(one.pk, other.pk), max(one.pk, other.pk))
        for alike in born.values()
        for one, other in combinations(alike, 2)
        if names_are_similar(one.full_name, other.full_name)
    ]


def plan_merge(keep: Golfer, gone: Golfer) -> MergePlan:
    """What merging `gone` into `keep` would move, or why it cannot be. Four queries at most."""
    refusals = merge_refusals(keep, gone)
    moving = list(gone.enrolments.select_related("school").order_by("school__starts_on", "pk"))
    lines = [
        f"{each.school}: the enrolment ({each.get_state_display()}) moves to {keep}, "
        "with its consents, its money and all that was measured."
        for each in moving
    ]
    if not moving:
        lines.append(f"{gone} has no enrolment that would move.")
    lines += _account_lines(keep, gone)
    earlier = gone.merged.count()
    if earlier:
        lines.append(f"{count_of(earlier, 'golfer')} merged before into {gone} follow.")
    lines.append(
        f"The second entry of {gone} no longer stands in any list; who enrols under its "
        f"e-mail and name, or birth date and name, is known as {keep}. This cannot be undone."
    )
    return MergePlan(tuple(lines), tuple(refusals))


def merge_refusals(keep: Golfer, gone: Golfer) -> list[str]:
    """Why the two cannot be merged, in words; empty if they can. One query at most."""
    if keep.pk == gone.pk:
        return ["A golfer cannot be merged with itself."]
    found = [
        f"{golfer} was merged into another golfer before."
        for golfer in (keep, gone)
        if golfer.merged_into_id is not None
    ]
    live = Enrolment.objects.filter(state__in=Enrolment.LIVE)
    both = live.filter(
        golfer=gone, school__in=live.filter(golfer=keep).values("school")
    ).select_related("school")
    found += [
        f"Both are in {each.school}. Cancel one of the two enrolments first." for each in both
    ]
    if is_used(keep.account) and is_used(gone.account):
        found.append(
            "Both sign in with an account of their own, so they may be two people. "
            "Only an account that nobody has signed in with can be given up."
        )
    return found


def is_used(account: Account | None) -> bool:
    """Whether somebody has signed in with the account, or works here under it."""
    return account is not None and (account.last_login is not None or hasattr(account, "staff"))


def account_that_stays(keep: Golfer, gone: Golfer) -> Account | None:
    """Of two accounts the one in use; of two unused, the one of the golfer who stays."""
    if keep.account is None or (is_used(gone.account) and not is_used(keep.account)):
        return gone.account
    return keep.account


def _account_lines(keep: Golfer, gone: Golfer) -> list[str]:
    stays = account_that_stays(keep, gone)
    lines = []
    if stays is not None:
        lines.append(f"The sign-in {stays.email} stays and belongs to {keep}.")
    lines += [
        f"The sign-in {account.email}, which nobody has used, is shut."
        for account in (keep.account, gone.account)
        if account is not None and account != stays
    ]
    return lines


def refuse_merge(keep: Golfer, gone: Golfer) -> None:
    """Raises MergeRefused with every reason."""
    found = merge_refusals(keep, gone)
    if found:
        raise MergeRefused(" ".join(found))
