"""What is refused at a station, in words a person can read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from school.errors import MarramError

if TYPE_CHECKING:
    from assessments.models import Entry


class StillPictureRefused(MarramError):
    """The uploaded file is no picture that can be measured on."""


class StillConflict(MarramError):
    """Another still has this id, or the same picture is there already."""


class MarkingConflict(MarramError):
    """Other marks were saved under this id, or for this turn of a study."""


class ReferenceRefused(MarramError):
    """The still cannot be kept to compare later schools with."""


class TileUnreadable(MarramError):
    """The file of a still is gone, broken, or not the one that was marked."""


class NotTaughtHere(MarramError):
    """The account has no session in the school and does not lead it."""


class StudyRefused(MarramError):
    """A repeatability study that cannot be opened, marked for, closed or put in force now."""


class EntryRefused(MarramError):
    """What was typed cannot be right. `words` has a sentence for each place in the payload."""

    def __init__(self, words: Mapping[str, str]) -> None:
        self.words = dict(words)
        super().__init__(" ".join(self.words.values()))


class EntryConflict(MarramError):
    """Something else was recorded meanwhile: `standing` is what stands now, if it is known."""

    def __init__(self, words: str, standing: Entry | None = None) -> None:
        self.standing = standing
        super().__init__(words)


class PlanChangedMeanwhile(MarramError):
    """The practice plan is not the one that was looked at; `edition` is what it is now."""

    def __init__(self, words: str, edition: int) -> None:
        self.edition = edition
        super().__init__(words)


class PlanEdited(MarramError):
    """An instructor edited the practice plan, which a new proposal would replace."""


class PlanRefused(MarramError):
    """What was written into a practice plan cannot be right."""
