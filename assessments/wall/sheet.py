"""Many tiles on one picture, with a heading above and a few lines below each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from assessments.impact.overlay import FRAME_ABOVE_BD, FRAME_BELOW_BD, FRAME_WIDTH_BD
from assessments.wall.tiles import SHEET_BALL_PX

PAPER, INK, FAINT = "#FFFFFF", "#1B2A30", "#5D6A6E"
COLUMNS = 6
MARGIN_PX, GAP_PX = 72, 28
TITLE_PX, TEXT_PX, SMALL_PX = 64, 34, 28
TILE_PX = (
    round(FRAME_WIDTH_BD * SHEET_BALL_PX),
    round((FRAME_ABOVE_BD + FRAME_BELOW_BD) * SHEET_BALL_PX),
)


@dataclass(frozen=True)
class Cell:
    """A tile of the sheet's size, the line that counts below it, and what else is said of it."""

    tile: Image.Image
    title: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Face:
    """A typeface in two files: plain Latin, and the letters of the other Latin alphabets."""

    latin: Path
    extended: Path


def contact_sheet(
    title: str, notes: Sequence[str], cells: Sequence[Cell], *, face: Face
) -> Image.Image:
    """One picture, six tiles wide, for 330 dots an inch."""
    across = max(1, min(COLUMNS, len(cells)))
    columns = max(across, 3)  # the heading needs the room
    width = 2 * MARGIN_PX + columns * TILE_PX[0] + (columns - 1) * GAP_PX
    pen, room = _Pen(face), width - 2 * MARGIN_PX
    heading = [line for note in notes for line in pen.wrapped(note, TEXT_PX, room)]
    below = [
        [line for text in cell.lines for line in pen.wrapped(text, SMALL_PX, TILE_PX[0])]
        for cell in cells
    ]
    top = MARGIN_PX + TITLE_PX + 24 + len(heading) * _leading(TEXT_PX) + GAP_PX
    most = max(map(len, below), default=0)
    step = TILE_PX[1] + _leading(TEXT_PX) + most * _leading(SMALL_PX) + 2 * GAP_PX
    height = top + math.ceil(len(cells) / across) * step + MARGIN_PX - GAP_PX
    sheet = Image.new("RGB", (width, height), PAPER)
    pen.begin(sheet)
    pen.write(title, (MARGIN_PX, MARGIN_PX), TITLE_PX, INK)
    for number, line in enumerate(heading):
        y = MARGIN_PX + TITLE_PX + 24 + number * _leading(TEXT_PX)
        pen.write(line, (MARGIN_PX, y), TEXT_PX, FAINT)
    for number, (cell, lines) in enumerate(zip(cells, below, strict=True)):
        at = (
            MARGIN_PX + number % across * (TILE_PX[0] + GAP_PX),
            top + number // across * step,
        )
        _place(pen, cell, lines, at)
    return sheet


def _place(pen: _Pen, cell: Cell, lines: Sequence[str], at: tuple[int, int]) -> None:
    pen.sheet.paste(cell.tile, at)
    x, y = at[0], at[1] + TILE_PX[1] + 8
    pen.write(pen.shortened(cell.title, TEXT_PX, TILE_PX[0]), (x, y), TEXT_PX, INK)
    y += _leading(TEXT_PX)
    for line in lines:
        pen.write(pen.shortened(line, SMALL_PX, TILE_PX[0]), (x, y), SMALL_PX, FAINT)
        y += _leading(SMALL_PX)


def _leading(size: int) -> int:
    return round(size * 1.3)


class _Pen:
    """Writes with both files of the face, since neither has all letters of a name."""

    def __init__(self, face: Face) -> None:
        self._face = face
        self._fonts: dict[tuple[bool, int], ImageFont.FreeTypeFont] = {}
        self.begin(Image.new("RGB", (1, 1)))

    def begin(self, sheet: Image.Image) -> None:
        self.sheet = sheet
        self._draw = ImageDraw.Draw(sheet)

    def write(self, text: str, at: tuple[float, float], size: int, colour: str) -> None:
        x, base = at[0], at[1] + size
        for extended, run in _runs(text):
            font = self._font(size, extended=extended)
            self._draw.text((x, base), run, fill=colour, font=font, anchor="ls")
            x += self._draw.textlength(run, font=font)

    def width(self, text: str, size: int) -> float:
        return sum(
            self._draw.textlength(run, font=self._font(size, extended=extended))
            for extended, run in _runs(text)
        )

    def wrapped(self, text: str, size: int, room: int) -> list[str]:
        lines = [""]
        for word in text.split(" "):
            longer = f"{lines[-1]} {word}".strip()
            if self.width(longer, size) <= room:
                lines[-1] = longer
            else:
                lines.append(word)
        return lines

    def shortened(self, text: str, size: int, room: int) -> str:
        if self.width(text, size) <= room:
            return text
        while text and self.width(f"{text}…", size) > room:
            text = text[:-1]
        return f"{text.rstrip()}…"

    def _font(self, size: int, *, extended: bool) -> ImageFont.FreeTypeFont:
        key = (extended, size)
        if key not in self._fonts:
            path = self._face.extended if extended else self._face.latin
            self._fonts[key] = ImageFont.truetype(str(path), size)
        return self._fonts[key]


def _runs(text: str) -> list[tuple[bool, str]]:
    """Pieces of the text with whether each needs the extended file."""
    runs: list[tuple[bool, str]] = []
    for letter in text:
        extended = "\u0100" <= letter <= "\u024f" or "\u1e00" <= letter <= "\u1eff"
        if runs and runs[-1][0] == extended:
            runs[-1] = (extended, runs[-1][1] + letter)
        else:
            runs.append((extended, letter))
    return runs
