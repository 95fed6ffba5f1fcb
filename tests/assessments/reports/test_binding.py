"""Many reports in one file."""

import io
from pathlib import Path
from zipfile import ZipFile

import pikepdf
import pytest

from assessments.reports.binding import Bound, bind, pack

LETTER = (612.0, 792.0)


def pdf_of(folder: Path, name: str, pages: int) -> Path:
    path = folder / f"{name}.pdf"
    with pikepdf.new() as made:
        for _ in range(pages):
            made.add_blank_page(page_size=LETTER)
        made.save(path)
    return path


@pytest.fixture
def reports(tmp_path: Path) -> list[Bound]:
    golfers = ("Łukasz Żółć", "Ann/Bo: one?", "Ann Bo one")
    return [
        Bound(golfer, seat, pdf_of(tmp_path, str(seat), pages))
        for seat, (golfer, pages) in enumerate(zip(golfers, (3, 2, 5), strict=True), 1)
    ]


def test_every_report_begins_on_the_front_of_a_sheet(reports: list[Bound]) -> None:
    out = io.BytesIO()
    bind(reports, out)
    with pikepdf.open(out) as whole, whole.open_outline() as outline:
        assert len(whole.pages) == 4 + 2 + 6
        assert {tuple(map(float, page.mediabox[2:])) for page in whole.pages} == {LETTER}
        assert [item.title for item in outline.root] == [report.golfer for report in reports]
        assert [_first_page(whole, item) for item in outline.root] == [0, 4, 6]


def _first_page(whole: pikepdf.Pdf, item: pikepdf.OutlineItem) -> int:
    assert isinstance(item.destination, pikepdf.Array)
    return whole.pages.index(pikepdf.Page(item.destination[0]))


def test_a_zip_names_each_golfer_and_keeps_names_apart(reports: list[Bound]) -> None:
    out = io.BytesIO()
    pack(reports, out)
    with ZipFile(out) as archive:
        assert archive.namelist() == [
            "01 Łukasz Żółć.pdf",
            "02 Ann Bo one.pdf",
            "03 Ann Bo one.pdf",
        ]
        assert archive.read("01 Łukasz Żółć.pdf") == reports[0].path.read_bytes()
