"""From a page of ours to the bytes of a tagged PDF: reports, receipts, statements.

The PDF library is imported when the first page is printed and not before: without the
text-layout libraries its import fails, and the site must start all the same. What it may read is
handed to it; it has no way to the network or to any other file.
"""

from __future__ import annotations

import atexit
import io
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from django.conf import settings

from school.checks import INSTALL_LINE
from school.errors import PdfLibraryMissing

FONTS = settings.BASE_DIR / "school" / "static" / "school" / "fonts"
SHEETS = settings.BASE_DIR / "templates" / "pdf"
SHARED = (FONTS / "print.css", SHEETS / "base.css")


class PageReachesOut(Exception):
    """A page asked for something that is neither its own picture nor one of our sheets."""


@dataclass(frozen=True)
class Pdf:
    content: bytes
    pages: int


def stylesheets(*names: str) -> tuple[Path, ...]:
    """The sheets of a document, after those that everything printed shares."""
    return (*SHARED, *(SHEETS / name for name in names))


def print_pdf(
    html: str, *, sheets: Sequence[str], pictures: Mapping[str, bytes] | None = None
) -> Pdf:
    """Set a page as a tagged PDF; it names its `pictures` as `picture:KEY`.

    Raises
    ------
    PdfLibraryMissing
        If pango is not installed; the text names the line that installs it.
    PageReachesOut
        If the page names a file that is not its own.
    """
    press = _press()
    from weasyprint import HTML
    from weasyprint.urls import FatalURLFetchingError

    document = HTML(string=html, url_fetcher=own_files_only(pictures or {}), base_url="page:/")
    try:
        with press.busy:
            raw = document.write_pdf(
                stylesheets=[press.sheet(path) for path in stylesheets(*sheets)],
                font_config=press.fonts,
                pdf_variant="pdf/ua-1",
            )
    except FatalURLFetchingError as error:  # no Exception, so that the library lets it through
        raise PageReachesOut(str(error)) from error
    return _finish(raw)


@dataclass(frozen=True)
class _Press:
    """What every page of a process shares: reading fonts anew costs time and memory.

    The text-layout libraries do not promise that two threads may use one set of fonts.
    """

    fonts: Any
    read: dict[Path, Any] = field(default_factory=dict)
    busy: threading.Lock = field(default_factory=threading.Lock)

    def sheet(self, path: Path) -> Any:
        from weasyprint import CSS

        if path not in self.read:
            self.read[path] = CSS(
                filename=path, font_config=self.fonts, url_fetcher=own_files_only({})
            )
        return self.read[path]


@cache
def _press() -> _Press:
    try:
        from weasyprint.text.fonts import FontConfiguration
    except OSError as error:
        raise PdfLibraryMissing(f"A PDF needs the library pango. {INSTALL_LINE}") from error
    # at the very end of a process the library can no longer tidy up after its fonts
    atexit.register(_press.cache_clear)
    return _Press(FontConfiguration())


def own_files_only(pictures: Mapping[str, bytes]) -> Any:
    """Answers for the page's own pictures and for our fonts and sheets; refuses the rest."""
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
            raise FatalURLFetchingError(f"A page may not read {url}")

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
