"""From a composed report to the bytes of a PDF."""

from assessments.reports.compose import Composed
from school.models import Paper
from school.printing import Pdf, print_pdf

SHEETS = ("report.css",)


def sheets_for(paper: str) -> tuple[str, ...]:
    """The sheets of a report on that paper."""
    return (*SHEETS, "letter.css") if paper == Paper.LETTER else SHEETS


def render(composed: Composed) -> Pdf:
    """Set a report as a tagged PDF.

    Raises
    ------
    PdfLibraryMissing
        If pango is not installed; the text names the line that installs it.
    PageReachesOut
        If the page names a file that is not its own.
    """
    return print_pdf(composed.html, sheets=sheets_for(composed.paper), pictures=composed.pictures)
