"""What cannot be done with squads, timetables, holds and hours, in words."""

from collections.abc import Sequence

from school.errors import MarramError

MOST_TOLD = 4


class NobodyToPlan(MarramError):
    """No attendee has a seat, so there is nobody to plan for."""


class SearchUnderWay(MarramError):
    """A timetable of this school is already being looked for."""


class PlanNotPublishable(MarramError):
    """The plan is not ready, is already published, or no longer fits what is set up."""


class PlanNotEditable(MarramError):
    """The timetable is published or was, is not ready, or its school is closed."""


class MoveRefused(MarramError):
    """Something speaks against putting a session there, or somebody else was quicker."""


class NothingToUndo(MarramError):
    """No step by hand is left to be taken back."""


class BayOrPersonTaken(MarramError):
    """A bay or a person is held by somebody else at a time that was asked for."""


class HoldRefused(MarramError):
    """The hold names nothing to take, no reason or no time."""


class TroubleRefused(MarramError):
    """What cannot be counted on is not named, has no seat, or is no stretch of time."""


class NothingToPlanAgain(MarramError):
    """No timetable is published, or none of it is still to come."""


class NothingToStop(MarramError):
    """The search has ended."""


class HoursRefused(MarramError):
    """Hours that end before they start."""


class SquadsRefused(MarramError):
    """The attendees cannot be divided into squads as the wishes ask."""


class SquadMoveRefused(MarramError):
    """An attendee cannot be put into that squad."""


class WishRefused(MarramError):
    """A wish about company that cannot be kept or is there already."""


def first_few(sentences: Sequence[str]) -> str:
    """The first few sentences, and how many more there are."""
    more = len(sentences) - MOST_TOLD
    tail = [f"And {more} more."] if more > 0 else []
    return " ".join([*sentences[:MOST_TOLD], *tail])
