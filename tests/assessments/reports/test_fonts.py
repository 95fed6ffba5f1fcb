"""Names beyond plain Latin letters are drawn letter beside letter.

A font of two subsets under one family name draws them on top of each other, while the text that
can be copied out of the file still reads right: only the ink shows it.
"""

import subprocess
from pathlib import Path

import pytest
from PIL import Image, ImageOps, ImageStat

from assessments.reports.compose import Composed
from assessments.reports.render import render

NAME = "ŁukaszŻółćęąśźńÉ"
PAGE = (
    '<html lang="en"><title>Name</title><style>p {{ font: {font}; margin: 0 }}'
    "span {{ display: inline-block; margin-right: 12pt }}</style><p>{name}</p></html>"
)


def ink(name: str, font: str, folder: Path) -> float:
    """How much black the text makes, in pixels."""
    file = folder / "name.pdf"
    file.write_bytes(render(Composed(PAGE.format(font=font, name=name), {})).content)
    target = folder / "name"
    subprocess.run(
        ["pdftoppm", "-r", "150", "-gray", "-singlefile", str(file), str(target)], check=True
    )
    page = Image.open(target.with_suffix(".pgm"))
    above_footer = page.crop((0, 0, page.width, page.height // 2))
    return ImageStat.Stat(ImageOps.invert(above_footer)).sum[0] / 255


@pytest.mark.parametrize(
    "font", ["700 30pt var(--title)", "400 30pt var(--text)", "700 30pt var(--text)"]
)
def test_no_letter_lies_on_another(font: str, tmp_path: Path) -> None:
    together = ink(NAME, font, tmp_path)
    apart = ink("".join(f"<span>{letter}</span>" for letter in NAME), font, tmp_path)
    assert together == pytest.approx(apart, rel=0.01)
