"""The press itself. What reports add to it is tested with them."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from school.printing import PageReachesOut, print_pdf
from tests.school.pdf_text import text_of

PAGE = '<html lang="en"><title>A page</title><p>{}</p></html>'


def printed(words: str) -> str:
    return text_of(print_pdf(PAGE.format(words), sheets=("paper.css",)).content)


def test_a_page_is_printed_with_its_pages_counted() -> None:
    pdf = print_pdf(PAGE.format("<br>" * 200), sheets=("paper.css",))
    assert pdf.pages > 1
    assert "of 1" in printed("one")


def test_two_threads_print_what_each_was_given() -> None:
    names = [f"Łukasz {n}" for n in range(8)]
    with ThreadPoolExecutor(4) as pool:
        texts = list(pool.map(printed, names))
    assert all(name in text for name, text in zip(names, texts, strict=True))


@pytest.mark.parametrize("source", ["https://example.org/a.png", "file:///etc/passwd", "picture:x"])
def test_a_page_reads_only_what_it_is_handed(source: str) -> None:
    with pytest.raises(PageReachesOut, match="may not read"):
        print_pdf(PAGE.format(f'<img alt="" src="{source}">'), sheets=())
