"""Errors a person can read: views show their text as it stands."""


class MarramError(Exception):
    """Something the person asked for cannot be done, said in words."""


class SchoolIsNotOpen(MarramError):
    """The school takes no enrolments now."""


class AlreadyEnrolled(MarramError):
    """The golfer is in this school or on its waiting list."""


class GuardianNeeded(MarramError):
    """A minor takes part only with a guardian's details and consent."""


class NotEnrolled(MarramError):
    """The enrolment is no longer live."""


class ConsentMissing(MarramError):
    """What was asked needs a consent that nobody gave."""


class CapacityTooSmall(MarramError):
    """More people are seated than the new capacity holds."""


class MoneyError(MarramError):
    """An amount or a reversal that the ledger cannot take."""


class WrongState(MarramError):
    """The school is not in a state that allows this."""


class ImportRefused(MarramError):
    """A file of golfers that cannot be read or has rows in error."""


class NoConsentText(MarramError):
    """There are no words yet for a consent of this kind."""


class TooMuchAtOnce(MarramError):
    """Others changed the same rows each time this was tried."""


class CannotSignIn(MarramError):
    """No sign-in can be opened for this person."""


class MergeRefused(MarramError):
    """Two golfers that cannot be made one."""


class MoveRefused(MarramError):
    """An enrolment that cannot go to that school."""


class ExportRefused(MarramError):
    """A file that asks for no columns, or for some that do not exist."""


class PdfLibraryMissing(MarramError):
    """The libraries that set the text of a PDF are not installed on this machine."""


class BankLineRefused(MarramError):
    """A bank line that cannot be matched, set aside or taken up again as asked."""


class CheckoutRefused(MarramError):
    """An online payment that cannot be started, or whose answer does not fit what was asked."""


class DayRefused(MarramError):
    """A day that cannot be closed."""


class TemplateRefused(MarramError):
    """The words of a message that could not be sent as they are written."""


class CannotSendAgain(MarramError):
    """The message is on its way, or its words were not kept."""


class CodeRefused(MarramError):
    """The code does not sign anybody in, for whichever reason."""
