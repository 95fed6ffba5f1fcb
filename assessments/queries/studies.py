"""What the pages of repeatability studies need to know."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, QuerySet

from assessments.impact.errors import keeps_out
from assessments.models import Entry, Marking, ShotKind, Study
from assessments.stations import kinds_on_stills
from assessments.statistics.studies import Candidate, known_within
from lessons.access import attendees_to_teach
from school.models import Account, Consent, ConsentKind, Enrolment

FULL_STUDY, SMALLEST_STUDY = 20, 8


def candidates(account: Account) -> dict[int, list[Candidate[UUID]]]:
    """The stills that a study may draw for the account, by filming place. 1 query.

    Full swings of attendees whom the account may teach and who agree to filming, that were
    measured once and are not doubtful: claims are made of such stills alone, and every one of
    them can be measured again.
    """
    rows = Entry.objects.filter(
        kind__in=kinds_on_stills(),
        superseded_by__isnull=True,
        still__filming_place__is_in_use=True,
        still__shot_kind=ShotKind.FULL,
        enrolment__in=_filmed(account),
    ).values_list(
        *("still__filming_place", "still", "enrolment__golfer", "phase", "still__club_class"),
        "warnings",
    )
    found: defaultdict[int, list[Candidate[UUID]]] = defaultdict(list)
    for place, still, golfer, phase, club, warnings in rows:
        if place and still and not any(map(keeps_out, warnings)):
            found[place].append(Candidate(still, golfer, (phase, club)))
    return found


def _filmed(account: Account) -> QuerySet[Enrolment]:
    agreed = Consent.objects.standing().filter(text__kind=ConsentKind.FILMING)
    return attendees_to_teach(account).filter(pk__in=agreed.values("enrolment"))


@dataclass(frozen=True)
class StudyLine:
    """A study in the list."""

    study: Study
    stills: int
    marked: int

    @property
    def wanted(self) -> int:
        return self.stills * self.study.markings_wanted

    @property
    def tone(self) -> str:
        return {"in force": "good", "under way": "attention"}.get(self.state, "quiet")

    @property
    def state(self) -> str:
        """Where the study stands, in words."""
        if self.study.is_in_force:
            return "in force"
        if self.study.closed_at is None:
            return "under way"
        return "closed" if self.study.result else "closed without a result"


def study_lines(studies: QuerySet[Study]) -> list[StudyLine]:
    """The studies, newest first, with how far they are. 1 query."""
    rows = studies.select_related("place", "opened_by").annotate(
        still_count=Count("stills", distinct=True), marking_count=Count("markings", distinct=True)
    )
    return [StudyLine(row, row.still_count, row.marking_count) for row in rows]


@dataclass(frozen=True)
class Turn:
    """Each still of a study marked once; a turn is of the person who begins it."""

    number: int
    by: Account | None
    marked: int
    of: int

    @property
    def state(self) -> str:
        if not self.marked:
            return "not begun"
        return "whole" if self.marked >= self.of else "under way"

    @property
    def tone(self) -> str:
        return {"whole": "good", "under way": "attention"}.get(self.state, "quiet")


@dataclass(frozen=True)
class Progress:
    """How far a study is."""

    stills: int
    turns: tuple[Turn, ...]

    @property
    def marked(self) -> int:
        return sum(turn.marked for turn in self.turns)

    @property
    def wanted(self) -> int:
        return self.stills * len(self.turns)

    @property
    def missing(self) -> int:
        return self.wanted - self.marked

    @property
    def warning(self) -> str:
        """What fewer stills than usual cost; empty for a full study."""
        if not SMALLEST_STUDY <= self.stills < FULL_STUDY:
            return ""
        low, high = known_within(self.stills, len(self.turns))
        return (
            f"The study has {self.stills} stills instead of {FULL_STUDY}. The true error may be "
            f"{low:.1f} to {high:.1f} times what is found, and more if people's habits differ."
        )


def progress_of(study: Study) -> Progress:
    """The turns of a study, those not begun included. 2 queries."""
    stills = study.stills.count()
    found: defaultdict[int, list[Marking]] = defaultdict(list)
    for marking in _markings(study):
        found[marking.turn].append(marking)
    turns = [
        Turn(number, found[number][0].marked_by if found[number] else None, len(rows), stills)
        for number in range(1, study.markings_wanted + 1)
        for rows in [found[number]]
    ]
    return Progress(stills, tuple(turns))


def _markings(study: Study) -> QuerySet[Marking]:
    """Those of a study, the first of each turn first."""
    markings = study.markings.select_related("marked_by").defer("payload", "values")
    return markings.order_by("turn", "marked_at", "pk")


@dataclass(frozen=True)
class NextStill:
    """What a person marks next: the still, in which turn, and the how-manieth of theirs it is."""

    still: UUID
    turn: int
    place: int
    of: int


def next_for(study: Study, account: Account) -> NextStill | None:
    """The next still for a person, by turn and order; None if there is none. 2 queries.

    Somebody's own turn is finished first, then the first that nobody has begun. Only stills that
    the account may mark count: their attendee is taught by it and agrees to filming.
    """
    markings = list(_markings(study))
    mine = list(
        study.stills.filter(still__enrolment__in=_filmed(account)).values_list("still", flat=True)
    )
    for turn in turns_open_to(study, markings, account):
        done = {marking.still_id for marking in markings if marking.turn == turn}
        left = [still for still in mine if still not in done]
        if left:
            return NextStill(left[0], turn, len(mine) - len(left) + 1, len(mine))
    return None


def turns_open_to(study: Study, markings: Iterable[Marking], account: Account) -> list[int]:
    """The numbers of the person's own turns and, after them, of those that nobody has begun.

    `markings` come by turn, the first of each turn first.
    """
    begun: dict[int, int] = {}
    for marking in markings:
        begun.setdefault(marking.turn, marking.marked_by_id)
    own = [turn for turn, by in begun.items() if by == account.pk]
    return own + [turn for turn in range(1, study.markings_wanted + 1) if turn not in begun]


def turn_to_record(study: Study, account: Account, asked: int) -> int:
    """The turn that marks made for turn `asked` belong to. 1 query.

    Two people may begin the same turn at once. Whoever is second has marked a still unseen all
    the same, and the marks count for a turn of their own; without one left, `asked` is refused.
    """
    open_turns = turns_open_to(study, _markings(study), account)
    if asked in open_turns:
        return asked
    return min((turn for turn in open_turns if turn > asked), default=asked)


def owner_of_turn(study: Study, turn: int) -> Account | None:
    """Whoever began a turn. 1 query."""
    first = _markings(study).filter(turn=turn).first()
    return None if first is None else first.marked_by
