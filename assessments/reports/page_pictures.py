"""Pages of a finished PDF as pictures, for whoever looks before signing."""

from __future__ import annotations

import io
import threading

import pypdfium2

DPI = 110  # on a screen 16 cm wide the smallest print is still read without zooming
POINTS_AN_INCH = 72

# The library may be used by one thread at a time.
_busy = threading.Lock()


def page_png(content: bytes, number: int) -> bytes:
    """One page of a PDF as a PNG; pages are counted from 1.

    Raises
    ------
    IndexError
        If the document has no such page.
    """
    with _busy, pypdfium2.PdfDocument(content) as document:
        if not 1 <= number <= len(document):
            raise IndexError(f"There is no page {number}.")
        page = document[number - 1]
        drawn = page.render(scale=DPI / POINTS_AN_INCH).to_pil()
    out = io.BytesIO()
    drawn.save(out, "PNG")
    return out.getvalue()
