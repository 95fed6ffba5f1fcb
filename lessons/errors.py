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


class BayOrPersonTaken(MarramError):
    """A bay or a person is held by somebody else at a time that was asked for."""


class HoldRefused(MarramError):
    """The hold names nothing to take, no reason or no time."""


class HoursRefused(MarramError):
    """Hours that end before they start."""


def first_few(sentences: Sequence[str]) -> str:
    """The first few sentences, and how many more there are."""
    more = len(sentences) - MOST_TOLD
    tail = [f"And {more} more."] if more > 0 else []
    return " ".join([*sentences[:MOST_TOLD], *tail])
