"""The contact sheet as one picture."""

from itertools import pairwise

import numpy as np
import pytest
from PIL import Image, ImageChops

from assessments.wall.files import FACE
from assessments.wall.sheet import COLUMNS, TILE_PX, Cell, contact_sheet

COLOURS = ("#b4411f", "#2f6347", "#2b5d84")


def cells(count: int, *lines: str) -> list[Cell]:
    return [
        Cell(Image.new("RGB", TILE_PX, COLOURS[n % len(COLOURS)]), f"still {n}", lines)
        for n in range(count)
    ]


def sheet(
    count: int, *lines: str, title: str = "A wall", notes: tuple[str, ...] = ()
) -> Image.Image:
    return contact_sheet(title, notes, cells(count, *lines), face=FACE)


def corners(picture: Image.Image, colour: str) -> int:
    """How many tiles' worth of a colour there is."""
    same = np.asarray(picture) == np.asarray(Image.new("RGB", (1, 1), colour))
    return round(same.all(axis=2).sum() / (TILE_PX[0] * TILE_PX[1]))


@pytest.mark.parametrize("count", [1, 2, COLUMNS, COLUMNS + 1, 24])
def test_every_still_is_on_it_whole(count: int) -> None:
    picture = sheet(count)
    found = [corners(picture, colour) for colour in COLOURS]
    assert found == [len(range(n, count, len(COLOURS))) for n in range(len(COLOURS))]


def test_it_grows_down_and_not_across() -> None:
    sizes = [sheet(count).size for count in (COLUMNS, 2 * COLUMNS, 3 * COLUMNS)]
    assert len({width for width, _ in sizes}) == 1
    assert len({lower[1] - upper[1] for upper, lower in pairwise(sizes)}) == 1


def test_a_wall_without_stills_is_a_heading() -> None:
    picture = sheet(0, notes=("Nothing hangs here.",))
    assert picture.getextrema() != ((255, 255),) * 3


def test_long_words_stay_on_the_sheet() -> None:
    """A note wraps; what is written below a still wraps and stays within its width."""
    short, long = sheet(2), sheet(2, "much too long for one tile " * 3, notes=("a note " * 60,))
    assert long.height > short.height
    margin = long.crop((long.width - 60, 0, long.width, long.height))
    assert margin.getextrema() == ((255, 255),) * 3
    one, many = sheet(1), sheet(1, "W" * 200)
    beside = (72 + TILE_PX[0] + 4, 200, one.width, many.height)
    assert many.crop(beside).getextrema() == ((255, 255),) * 3


def test_letters_of_other_latin_alphabets_are_written() -> None:
    """Ł has a shape of its own and is not the box of a letter that the file lacks."""
    shapes = [sheet(1, letter) for letter in ("Ł", "ż", "ş")]
    for one, other in pairwise(shapes):
        assert ImageChops.difference(one, other).getbbox() is not None
