"""The pictures of a report: every still in the same frame, with the same drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.files.storage import default_storage
from django.utils.formats import get_format
from django.utils.translation import gettext
from PIL import Image

from assessments.impact.errors import StillRefused
from assessments.impact.filmed import measure_filmed
from assessments.impact.overlay import ENGLISH, Labels, crop_around, draw_overlay
from assessments.pictures import LABEL_FONT, as_jpeg, demand_whole_pictures
from assessments.reports.errors import StillUnreadable

if TYPE_CHECKING:
    from assessments.reports.gather import Picture

# Diameter of the ball in the picture. Beside each other two stills stand 82 mm wide, the cover's
# 132 mm: 220 to 240 dots an inch.
PAIR_BALL_PX, COVER_BALL_PX = 24.0, 36.0
JPEG_QUALITY = 85


def draw(picture: Picture, *, ball_px: float) -> bytes:
    """The still cropped around the ball, with its lines and readings, as a JPEG.

    The ball is at one place and of one size in every picture, so that intake and exit can be
    compared at sight. A left-hander's picture is not turned round: the target lies to the left.

    Raises
    ------
    StillUnreadable
        If the file is gone or is no picture, or the marks do not belong to it.
    """
    demand_whole_pictures()
    try:
        with default_storage.open(picture.file) as file, Image.open(file) as still:
            still.load()
            if still.size != (picture.geometry.width_px, picture.geometry.height_px):
                raise ValueError("The marks belong to a picture of another size.")
            result = measure_filmed(picture.geometry, picture.before, picture.filming).result
            cropped, geometry = crop_around(still, picture.geometry, ball_px=ball_px)
            drawn = draw_overlay(cropped, geometry, result, labels=_labels(), font_path=LABEL_FONT)
    except FileNotFoundError as error:
        raise StillUnreadable(
            f"The {picture.title} is no longer in the store. "
            "Put the file back or record the impact again, then ask for the report again."
        ) from error
    except (OSError, SyntaxError, ValueError, StillRefused) as error:
        if isinstance(error, OSError) and error.errno:
            raise  # the store itself does not answer: worth another try
        raise StillUnreadable(
            f"The {picture.title} cannot be read with its marks. "
            "Record the impact with another still, then ask for the report again."
        ) from error
    return as_jpeg(drawn, quality=JPEG_QUALITY, optimize=True)


def _labels() -> Labels:
    """The words of the drawing in the language of the report."""
    return Labels(
        gettext(ENGLISH.forearm),
        gettext(ENGLISH.grip),
        gettext(ENGLISH.reading),
        get_format("DECIMAL_SEPARATOR"),
    )
