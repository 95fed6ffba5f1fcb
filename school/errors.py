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


class SchoolIsFull(MarramError):
    """The last seat is gone; the waiting list is open."""


class DraftIsOver(MarramError):
    """What was typed was sent already."""


class TooMuchMail(MarramError):
    """An address was written to often enough."""


class AskTheDesk(MarramError):
    """What a public page cannot settle without telling a stranger what is on file."""

    @classmethod
    def without_saying_why(cls) -> "AskTheDesk":
        """The same words for every reason, so that they give nothing away."""
        return cls(
            "We cannot finish this here. What you typed is kept. If a place in this school was "
            "asked for before, nothing more is needed: sign in by e-mail to see it. Otherwise the "
            "front desk will help you; tell them your name."
        )


class OfferIsOver(MarramError):
    """No seat is offered, or the time to answer has passed."""


class NoSeatToGive(MarramError):
    """Every seat is taken for good."""


class ReasonMissing(MarramError):
    """What is done against the usual order needs a reason."""


class FiguresChanged(MarramError):
    """What was agreed to is not what it would come to now."""
