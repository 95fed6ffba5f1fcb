"""Tiles of stills in the store. Each is drawn when it is asked for and kept nowhere."""

from __future__ import annotations

from django.core.files.storage import default_storage
from PIL import Image

from assessments.errors import EntryRefused, TileUnreadable
from assessments.impact.errors import StillRefused
from assessments.impact.overlay import draw_overlay
from assessments.models import Entry, Still
from assessments.pictures import LABEL_FONT, demand_whole_pictures
from assessments.stations.impact import geometry_of, measured
from assessments.wall.sheet import Face
from assessments.wall.tiles import draw_tile

FACE = Face(LABEL_FONT, LABEL_FONT.with_name(LABEL_FONT.name.replace("latin", "latin-ext")))


def tile_of(still: Still, entry: Entry, *, ball_px: float) -> Image.Image:
    """The still as it hangs on the wall. Raises TileUnreadable."""
    try:
        return draw_tile(
            _opened(still), geometry_of(still, entry.payload), ball_px=ball_px, font_path=LABEL_FONT
        )
    except (StillRefused, EntryRefused, ValueError) as error:
        raise TileUnreadable("The marks do not fit this still. Mark it again.") from error


def whole_still(still: Still, entry: Entry) -> Image.Image:
    """The still at its own size with its lines and readings. Raises TileUnreadable."""
    try:
        return draw_overlay(
            _opened(still),
            geometry_of(still, entry.payload),
            measured(still, entry.payload),
            font_path=LABEL_FONT,
        )
    except (StillRefused, EntryRefused, ValueError) as error:
        raise TileUnreadable("The marks do not fit this still. Mark it again.") from error


def _opened(still: Still) -> Image.Image:
    demand_whole_pictures()
    try:
        with default_storage.open(str(still.picture)) as file, Image.open(file) as picture:
            return picture.convert("RGB")
    except (OSError, SyntaxError) as error:
        raise TileUnreadable("The picture of this still is gone or broken.") from error
