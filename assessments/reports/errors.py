"""Why a report could not be made, signed or sent, in words for the front desk and instructors."""

from school.errors import MarramError


class ReportStopped(MarramError):
    """Trying again will not help; somebody has to put something right first."""


class StillUnreadable(ReportStopped):
    """A still that the report needs cannot be opened or does not fit its marks."""


class NothingMeasured(ReportStopped):
    """Nothing was recorded for the attendee, so there is nothing to report."""


class ReportAtWork(MarramError):
    """The report is being made already, or a newer version has taken its place."""


class ReportChanged(MarramError):
    """What the report would say now is not what was looked at, or not what was signed."""


class ReportUnsigned(MarramError):
    """Nobody has signed what the report would say now."""


class ReportNotDue(MarramError):
    """The school is not closed, so reports are not sent yet."""


class LinkEnded(MarramError):
    """The address of a report has run out or was taken back."""


class FileGone(MarramError):
    """A report was made and its file is not where it was put."""


class NowhereToSend(MarramError):
    """The house knows no e-mail to send the report to."""


class BundleRefused(MarramError):
    """There is nothing to put together yet, or it is being put together already."""
