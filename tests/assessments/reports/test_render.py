"""The PDF itself: its text, its tags, its pictures, its manners."""

import io
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
from PIL import Image, ImageOps

from assessments.reports.compose import Composed, compose
from assessments.reports.gather import gather
from assessments.reports.render import render
from school.models import Account
from school.printing import PageReachesOut, Pdf
from tests.assessments.factories import FLIP, STRONG
from tests.assessments.reports import scene
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def opened(pdf: Pdf) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(pdf.content)) as document:
        yield document


def text_of(pdf: Pdf, folder: Path) -> str:
    file = folder / "report.pdf"
    file.write_bytes(pdf.content)
    answer = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], check=True, capture_output=True, text=True
    )
    return answer.stdout


def elements(document: pikepdf.Pdf, role: str) -> list[pikepdf.Dictionary]:
    return [
        each
        for each in document.objects
        if isinstance(each, pikepdf.Dictionary) and each.get("/S") == role
    ]


def test_it_says_what_a_golfer_wants_to_know(pdf: Pdf, tmp_path: Path) -> None:
    text = text_of(pdf, tmp_path)
    for words in (
        "Łukasz Żółć",
        "What changed, and what did not",
        "real change",
        "Forearm-line offset",
        "Ball flight",
        "Putting",
        "Ines Instructor",
        "How sure we are",
        "Look behind you",
        "licensed professional",
    ):
        assert words in text, words


def test_it_has_four_to_eight_pages(pdf: Pdf, opened: pikepdf.Pdf) -> None:
    assert len(opened.pages) == pdf.pages
    assert 4 <= pdf.pages <= 8


def test_it_is_tagged_with_language_and_title(opened: pikepdf.Pdf) -> None:
    assert opened.Root.MarkInfo.Marked
    assert str(opened.Root.Lang) == "en-GB"
    assert "Łukasz Żółć" in str(opened.docinfo.Title)
    assert elements(opened, "/H1")


def test_every_picture_has_words_for_those_who_do_not_see_it(opened: pikepdf.Pdf) -> None:
    figures = elements(opened, "/Figure")
    assert len(figures) >= 3
    assert all(str(figure.get("/Alt", "")) for figure in figures)


def test_every_heading_of_a_table_says_what_it_heads(opened: pikepdf.Pdf) -> None:
    scopes = [str(cell.A.Scope) for cell in elements(opened, "/TH")]
    assert set(scopes) == {"/Row", "/Column"}


def test_the_cover_and_the_pair_of_stills_are_there(pdf: Pdf, tmp_path: Path) -> None:
    file = tmp_path / "report.pdf"
    file.write_bytes(pdf.content)
    listed = subprocess.run(["pdfimages", "-list", file], check=True, capture_output=True)
    pages = [int(line.split()[0]) for line in listed.stdout.splitlines()[2:]]
    assert pages == [1, 3, 3]


def test_it_reads_nothing_from_the_network_or_the_disk() -> None:
    for source in ("https://example.org/a.png", "file:///etc/passwd", "picture:other"):
        with pytest.raises(PageReachesOut, match="may not read"):
            render(Composed(f'<html lang="en"><img alt="" src="{source}">', {}))


def test_no_leaf_is_half_empty(pdf: Pdf, tmp_path: Path) -> None:
    assert min(filled(pdf, tmp_path)) > 0.6


def test_a_coach_with_much_to_say_shares_the_page_with_the_headlines(
    instructor: Account, tmp_path: Path
) -> None:
    enrolment = scene.full_school(instructor)
    entry = enrolment.entries.get(kind="coach_paragraph")
    entry.payload = {"text": "Much to say. " * 92}
    entry.save(update_fields=["payload"])
    pdf = render(compose(gather(enrolment)))
    assert pdf.pages == 6
    assert min(filled(pdf, tmp_path)) > 0.6


def test_a_golfer_who_missed_the_first_day_gets_an_honest_report(tmp_path: Path) -> None:
    enrolment = EnrolmentFactory.create()
    scene.impact(enrolment, "exit")
    pdf = render(compose(gather(enrolment)))
    text = " ".join(text_of(pdf, tmp_path).split())
    assert "Not measured on the first day, so nothing is compared" in text
    assert "this report compares nothing" in text
    assert "real change" not in text
    assert min(filled(pdf, tmp_path)) > 0.5


def test_a_left_hander_is_not_turned_round(instructor: Account) -> None:
    contents = gather(scene.full_school(instructor, golfer__handedness="left"))
    exit_ = contents.clubs[0].exit
    assert exit_ is not None
    assert exit_.picture.geometry.target_sign == -1


def filled(pdf: Pdf, folder: Path) -> list[float]:
    """How far down each page its last ink above the footer lies, as a share of the page."""
    file = folder / "report.pdf"
    file.write_bytes(pdf.content)
    subprocess.run(["pdftoppm", "-r", "30", "-gray", str(file), str(folder / "page")], check=True)
    shares = []
    for picture in sorted(folder.glob("page-*")):
        page = Image.open(picture)
        above_footer = page.crop((0, 0, page.width, round(page.height * 0.93)))
        box = ImageOps.invert(above_footer).getbbox()
        assert box is not None
        shares.append(box[3] / page.height)
    return shares


@pytest.mark.parametrize("warnings", [[], ["handedness_doubtful"]])
def test_a_table_full_of_words_stays_on_the_leaf_of_its_stills(
    warnings: list[str], tmp_path: Path
) -> None:
    enrolment = EnrolmentFactory.create()
    for phase, name in (("intake", STRONG), ("exit", FLIP)):
        for swing in range(3):
            entry = scene.impact(enrolment, phase, name, shift_px=swing / 4)
            entry.warnings = warnings if phase == "intake" else []
            entry.save(update_fields=["warnings"])
    pdf = render(compose(gather(enrolment)))
    assert pdf.pages == 4
    assert min(filled(pdf, tmp_path)) > 0.5
