"""Many reports in one file: bound to be printed, or packed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO
from zipfile import ZIP_STORED, ZipFile

LONGEST_NAME = 80


@dataclass(frozen=True)
class Bound:
    """A finished report: whose, in which seat, and where its file lies."""

    golfer: str
    seat: int
    path: Path

    @property
    def name(self) -> str:
        """For a file, on any system: the seat first, so that two of one name stay apart."""
        plain = unicodedata.normalize("NFC", self.golfer)
        plain = re.sub(r'[\\/:*?"<>|\x00-\x1f]+', " ", plain)
        plain = " ".join(plain.split()).strip(" .")[:LONGEST_NAME]
        return f"{self.seat:02} {plain}.pdf"


def bind(reports: Sequence[Bound], file: BinaryIO) -> None:
    """One PDF to print on both sides: every report begins on the front of a sheet.

    An empty page is put in where one ends on a front. The outline names the golfers. What screen
    readers need is left out: this file is for the printer, each golfer has their own.
    """
    import pikepdf

    with pikepdf.new() as whole:
        firsts = []
        for report in reports:
            firsts.append(len(whole.pages))
            with pikepdf.open(report.path) as one:
                whole.pages.extend(one.pages)
                if len(one.pages) % 2:
                    whole.add_blank_page(page_size=_size(one.pages[-1]))
        with whole.open_outline() as outline:
            outline.root.extend(
                pikepdf.OutlineItem(report.golfer, first)
                for report, first in zip(reports, firsts, strict=True)
            )
        whole.save(file)


def pack(reports: Sequence[Bound], file: BinaryIO) -> None:
    """A zip of every report under its golfer's name; PDFs are not made smaller by packing."""
    with ZipFile(file, "w", ZIP_STORED) as archive:
        for report in reports:
            archive.write(report.path, report.name)


def _size(page: object) -> tuple[float, float]:
    left, bottom, right, top = (float(edge) for edge in page.mediabox)  # type: ignore[attr-defined]
    return right - left, top - bottom
