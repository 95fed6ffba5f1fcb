"""Why a report could not be made, in words for the front desk."""

from school.errors import MarramError


class ReportStopped(MarramError):
    """Trying again will not help; somebody has to put something right first."""


class StillUnreadable(ReportStopped):
    """A still that the report needs cannot be opened or does not fit its marks."""


class NothingMeasured(ReportStopped):
    """Nothing was recorded for the attendee, so there is nothing to report."""


class ReportAtWork(MarramError):
    """The report is being made already, or a newer version has taken its place."""
