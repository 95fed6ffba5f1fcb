"""Pages of a report as pictures."""

import io

import pytest
from PIL import Image

from assessments.reports.page_pictures import DPI, page_png
from school.printing import Pdf

A4_INCHES = (8.27, 11.69)


@pytest.mark.django_db
def test_each_page_is_drawn_as_it_is_printed(pdf: Pdf) -> None:
    pages = [page_png(pdf.content, number) for number in range(1, pdf.pages + 1)]
    assert len(set(pages)) == pdf.pages
    with Image.open(io.BytesIO(pages[0])) as cover:
        assert cover.format == "PNG"
        assert cover.size == pytest.approx([side * DPI for side in A4_INCHES], abs=2)
        shades = cover.convert("L").histogram()
        assert sum(shades[:60]) > 1000
        assert sum(shades[250:]) > cover.width * cover.height / 3


@pytest.mark.django_db
@pytest.mark.parametrize("number", [-1, 0, 9])
def test_a_page_that_is_not_there_is_refused(number: int, pdf: Pdf) -> None:
    with pytest.raises(IndexError, match="no page"):
        page_png(pdf.content, number)
