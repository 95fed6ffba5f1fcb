"""Names beyond plain Latin letters are drawn letter beside letter.

A font of two subsets under one family name draws them on top of each other, while the text that
can be copied out of the file still reads right: only the ink shows it.
"""

import subprocess
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageOps, ImageStat

from assessments.reports.compose import Composed
from assessments.reports.render import render

NAME = "ŁukaszŻółćęąśźńÉ"
PAGE = (
    '<html lang="en"><title>Name</title><style>p {{ font: {font}; margin: 0 }}'
    "span {{ display: inline-block; margin-right: 12pt }}</style><p>{name}</p></html>"
)


def drawn(name: str, font: str, folder: Path) -> Image.Image:
    """The text as ink: white on black."""
    file = folder / "name.pdf"
    file.write_bytes(render(Composed(PAGE.format(font=font, name=name))).content)
    target = folder / "name"
    subprocess.run(
        ["pdftoppm", "-r", "150", "-gray", "-singlefile", str(file), str(target)], check=True
    )
    page = Image.open(target.with_suffix(".pgm"))
    return ImageOps.invert(page.crop((0, 0, page.width, page.height // 2)))


def ink(name: str, font: str, folder: Path) -> float:
    """How much black the text makes, in pixels."""
    return ImageStat.Stat(drawn(name, font, folder)).sum[0] / 255


@pytest.mark.parametrize(
    "font", ["700 30pt var(--title)", "400 30pt var(--text)", "700 30pt var(--text)"]
)
def test_no_letter_lies_on_another(font: str, tmp_path: Path) -> None:
    together = ink(NAME, font, tmp_path)
    apart = ink("".join(f"<span>{letter}</span>" for letter in NAME), font, tmp_path)
    assert together == pytest.approx(apart, rel=0.01)


@pytest.mark.parametrize("name", ["משהכהן", "داود"], ids=["Hebrew", "Arabic"])
@pytest.mark.parametrize("font", ["700 30pt var(--title)", "400 30pt var(--text)"])
def test_names_from_right_to_left_are_drawn_in_their_order(
    name: str, font: str, tmp_path: Path
) -> None:
    """The name is the same picture as its letters, none of which joins, laid from the left."""
    by_hand = "".join(f'<span style="margin: 0">{letter}</span>' for letter in reversed(name))
    as_text, laid = drawn(name, font, tmp_path), drawn(by_hand, font, tmp_path)
    different = ImageStat.Stat(ImageChops.difference(as_text, laid)).sum[0]
    assert different < 0.1 * ImageStat.Stat(as_text).sum[0]
