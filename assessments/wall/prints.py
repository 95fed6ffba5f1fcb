"""The wall on paper: one picture, or pages to print. Whoever did not agree to be named is not."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.template.loader import render_to_string
from PIL import Image

from assessments.errors import TileUnreadable
from assessments.impact.overlay import OUTSIDE_COLOUR
from assessments.models import Entry
from assessments.pictures import as_jpeg
from assessments.queries.wall import Tile, Wall, entries_of
from assessments.wall.files import FACE, tile_of
from assessments.wall.sheet import TILE_PX, Cell, contact_sheet
from assessments.wall.tiles import SHEET_BALL_PX
from assessments.wall.words import notes_of, place_of, standing_words, title_of
from school.models import School
from school.printing import print_pdf

SHEETS = ("wall.css",)
PNG_LEVEL = 2


def sheet_png(wall: Wall, school: School, today: date) -> bytes:
    """The contact sheet as one picture. 1 query for what was marked."""
    cells = [
        Cell(still.picture, still.caption.title, still.caption.lines)
        for row in _rows(wall)
        for still in row
    ]
    sheet = contact_sheet(
        f"{school.name}: {title_of(wall)}", notes_of(wall, today), cells, face=FACE
    )
    out = io.BytesIO()
    # pressed as usual it takes three times as long to write and weighs an eighth less
    sheet.save(out, "PNG", dpi=(330, 330), compress_level=PNG_LEVEL)
    return out.getvalue()


def sheet_pdf(wall: Wall, school: School, today: date) -> bytes:
    """The contact sheet as A4 pages, landscape. 1 query for what was marked.

    Raises
    ------
    PdfLibraryMissing
        If the text-layout library is not installed.
    """
    rows = [
        [(f"{r}-{n}", still) for n, still in enumerate(row)] for r, row in enumerate(_rows(wall))
    ]
    pictures = {key: as_jpeg(still.picture) for row in rows for key, still in row}
    context = {
        "school": school,
        "wall": wall,
        "title": title_of(wall),
        "notes": notes_of(wall, today),
        "rows": [[(key, still.caption) for key, still in row] for row in rows],
    }
    return print_pdf(
        render_to_string("pdf/wall.html", context), sheets=SHEETS, pictures=pictures
    ).content


@dataclass(frozen=True)
class Caption:
    """`title` is the value; the lines say whose, which place, and why none."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Printed:
    picture: Image.Image
    caption: Caption


def captions(tile: Tile, wall: Wall) -> Iterator[tuple[Tile | None, Caption]]:
    """Below each still; the one that is missing beside another has a caption too."""
    if not wall.is_paired:
        yield tile, Caption(_value(tile), _lines(tile, wall, place_of(tile, wall)))
        return
    for side in tile.sides:
        if side is None:
            yield None, Caption("nothing beside it", ())
        else:
            place = place_of(tile, wall) if side is tile else ""
            yield side, Caption(_value(side), _lines(side, wall, place))


def _value(tile: Tile) -> str:
    return tile.reading.text if tile.reading else "not measured"


def _lines(tile: Tile, wall: Wall, place: str) -> tuple[str, ...]:
    who = [tile.name, "left-handed" if tile.is_left_handed else ""]
    which = tile.phase if wall.is_paired else ""
    said = (" · ".join(filter(None, [place, which])), " · ".join(filter(None, who)))
    return tuple(filter(None, (*said, standing_words(tile), *tile.doubts)))


def _rows(wall: Wall) -> list[list[Printed]]:
    """The stills of each place in the order of the wall: cohort, reference, then those apart."""
    hung = [*wall.tiles, *wall.reference, *wall.apart]
    entries = entries_of(hung)
    return [
        [Printed(_picture(one, entries), caption) for one, caption in captions(tile, wall)]
        for tile in hung
    ]


def _picture(tile: Tile | None, entries: Mapping[UUID, Entry]) -> Image.Image:
    """The tile, or bare ground where there is none or its file cannot be read."""
    entry = entries.get(tile.entry) if tile else None
    if entry is not None and entry.still is not None:
        try:
            return tile_of(entry.still, entry, ball_px=SHEET_BALL_PX)
        except TileUnreadable:
            pass  # a sheet of thirty is not refused for one; the place stays, its picture empty
    return Image.new("RGB", TILE_PX, OUTSIDE_COLOUR)
