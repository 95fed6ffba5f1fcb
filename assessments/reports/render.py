"""From a composed report to the bytes of a PDF.

The PDF library is imported when the first report is made and not before: without the
text-layout libraries its import fails, and the site must start all the same. What it may read is
handed to it; it has no way to the network or to any other file.
"""

from __future__ import annotations

import atexit
import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from django.conf import settings

from assessments.reports.compose import Composed
from assessments.reports.errors import PdfLibraryMissing
from school.checks import INSTALL_LINE

FONTS = settings.BASE_DIR / "school" / "static" / "school" / "fonts"
SHEETS = settings.BASE_DIR / "templates" / "pdf"
STYLESHEETS = (FONTS / "print.css", SHEETS / "base.css", SHEETS / "report.css")


class ReportReachesOut(Exception):
    """A page asked for something that is neither its own picture nor one of our sheets."""


@dataclass(frozen=True)
class Pdf:
    content: bytes
    pages: int


@dataclass(frozen=True)
class _Press:
    """What every report of a process shares: reading fonts anew costs time and memory."""

    fonts: Any
    stylesheets: tuple[Any, ...]


def render(composed: Composed) -> Pdf:
    """Set a report as a tagged PDF.

    Raises
    ------
    PdfLibraryMissing
        If pango is not installed; the text names the line that installs it.
    ReportReachesOut
        If the page names a file that is not its own.
    """
    press = _press()
    from weasyprint import HTML
    from weasyprint.urls import FatalURLFetchingError

    document = HTML(
        string=composed.html, url_fetcher=own_files_only(composed.pictures), base_url="report:/"
    )
    try:
        raw = document.write_pdf(
            stylesheets=press.stylesheets, font_config=press.fonts, pdf_variant="pdf/ua-1"
        )
    except FatalURLFetchingError as error:  # no Exception, so that the library lets it through
        raise ReportReachesOut(str(error)) from error
    return _finish(raw)


@cache
def _press() -> _Press:
    try:
        from weasyprint import CSS
        from weasyprint.text.fonts import FontConfiguration
    except OSError as error:
        raise PdfLibraryMissing(f"Reports need the library pango. {INSTALL_LINE}") from error
    fonts = FontConfiguration()
    sheets = [
        CSS(filename=sheet, font_config=fonts, url_fetcher=own_files_only({}))
        for sheet in STYLESHEETS
    ]
    # at the very end of a process the library can no longer tidy up after its fonts
    atexit.register(_press.cache_clear)
    return _Press(fonts, tuple(sheets))


def own_files_only(pictures: Mapping[str, bytes]) -> Any:
    """Answers for the report's own pictures and for our fonts and sheets; refuses the rest."""
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            parts = urlsplit(url)
            if parts.scheme == "picture" and parts.path in pictures:
                return URLFetcherResponse(url, pictures[parts.path], {"Content-Type": "image/jpeg"})
            path = Path(unquote(parts.path)).resolve()
            if parts.scheme == "file" and path.parent in (FONTS, SHEETS):
                return URLFetcherResponse(url, path.read_bytes())
            # The library swallows other errors and leaves a hole in the page.
            raise FatalURLFetchingError(f"A report may not read {url}")

    return OwnFilesOnly()


def _finish(raw: bytes) -> Pdf:
    """Say of each heading cell what it heads, which the PDF library leaves out, and save small."""
    import pikepdf

    with pikepdf.open(io.BytesIO(raw)) as pdf:
        for cell in pdf.objects:
            if isinstance(cell, pikepdf.Dictionary) and cell.get("/S") == "/TH":
                scope = pikepdf.Name.Row if _has_data_beside(cell) else pikepdf.Name.Column
                cell.A = pikepdf.Dictionary(O=pikepdf.Name.Table, Scope=scope)
        out = io.BytesIO()
        pdf.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate)
        return Pdf(out.getvalue(), len(pdf.pages))


def _has_data_beside(cell: Any) -> bool:
    return any(sibling.get("/S") == "/TD" for sibling in cell.P.K)
