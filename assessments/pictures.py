"""An uploaded picture made safe to keep, and a kept one with the construction drawn on it.

What is uploaded is checked, turned upright, scaled once and stripped of its metadata:

1. Refuse by size of file, then by kind, then by the size that its head states, before anything
   is decoded.
2. Decode, scale down so that the long side is at most 1600 pixels, never up.
3. Turn it upright as its orientation mark says.
4. Write the bare pixels anew as JPEG: position, time, camera and comments stay behind.
"""

from __future__ import annotations

import hashlib
import io
import threading
from dataclasses import dataclass

from django.conf import settings
from django.core.files import File
from django.core.files.storage import default_storage
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

from assessments.errors import StillPictureRefused
from assessments.impact.overlay import draw_overlay
from assessments.models import Still
from assessments.stations.base import Payload
from assessments.stations.impact import geometry_of, measured

MAX_FILE_MB = 20
MAX_PIXELS = 64_000_000
LONG_SIDE_PX = 1600
MIN_SHORT_SIDE_PX = 240
JPEG_QUALITY = 90
READABLE = ("JPEG", "PNG", "WEBP")
# The brands of the container that phones keep HEIC in, at byte 8 of the file.
HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
# A picture at the limit takes a third of a gigabyte while it is decoded, whatever its file weighs.
ONE_AT_A_TIME = threading.Lock()
UNSUITED_MODES = ("I", "I;16", "I;16B", "I;16L", "F")

LABEL_FONT = (
    settings.BASE_DIR
    / "school/static/school/fonts/atkinson-hyperlegible-next-latin-700-normal.woff2"
)

NOT_A_PICTURE = "This file is no JPEG, PNG or WebP picture. Choose a still from the camera."
BROKEN = "The picture is broken or did not arrive whole. Send it again, or choose another still."


@dataclass(frozen=True)
class SafePicture:
    jpeg: bytes
    width_px: int
    height_px: int

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.jpeg).hexdigest()


def safe_picture(upload: File[bytes]) -> SafePicture:
    """The picture in `upload` as it may be kept; the same upload gives the same bytes.

    Raises
    ------
    StillPictureRefused
        In words: what is wrong with the file and what to do.
    """
    if upload.size is None or upload.size > MAX_FILE_MB * 1_000_000:
        raise StillPictureRefused(
            f"The file is larger than {MAX_FILE_MB} MB. "
            "Choose a single frame, or save it at a lower resolution."
        )
    upload.seek(0)
    _refuse_heic(upload.read(12))
    upload.seek(0)
    with ONE_AT_A_TIME:
        picture = _bare_pixels(upload)
    if min(picture.size) < MIN_SHORT_SIDE_PX:
        raise StillPictureRefused(
            f"The picture is only {picture.width} by {picture.height} pixels, too small to mark. "
            "Choose the original and not a preview."
        )
    return SafePicture(as_jpeg(picture), *picture.size)


def safe_pair(
    upload: File[bytes], before: File[bytes] | None
) -> tuple[SafePicture, SafePicture | None]:
    """Two frames of one clip as they may be kept: at or after the strike, and the one before it.

    Raises
    ------
    StillPictureRefused
        As `safe_picture`, and for two frames of different sizes or twice the same one.
    """
    picture = safe_picture(upload)
    if before is None:
        return picture, None
    try:
        earlier = safe_picture(before)
    except StillPictureRefused as refused:
        raise StillPictureRefused(f"The frame before the strike: {refused}") from refused
    sizes = [(each.width_px, each.height_px) for each in (earlier, picture)]
    if sizes[0] != sizes[1]:
        (wide, high), (wide_at, high_at) = sizes
        raise StillPictureRefused(
            f"The frame before the strike is {wide} by {high} pixels and the one at the strike "
            f"{wide_at} by {high_at}. Choose both from the same clip."
        )
    if earlier.jpeg == picture.jpeg:
        raise StillPictureRefused(
            "The frame before the strike is the same as the one at the strike. "
            "Choose the frame before it, or send one frame only."
        )
    return picture, earlier


def overlay_jpeg(still: Still, payload: Payload) -> bytes:
    """The still with its lines and readings, as marked in `payload`.

    Raises
    ------
    FileNotFoundError
        If the picture is gone from the store.
    StillRefused
        If the marks cannot be measured.
    """
    with default_storage.open(str(still.picture)) as file, Image.open(file) as picture:
        picture.load()
        drawn = draw_overlay(
            picture, geometry_of(still, payload), measured(still, payload), font_path=LABEL_FONT
        )
    return as_jpeg(drawn)


def as_jpeg(picture: Image.Image, *, quality: int = JPEG_QUALITY, optimize: bool = False) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=quality, optimize=optimize)
    return out.getvalue()


def _refuse_heic(head: bytes) -> None:
    if head[4:8] == b"ftyp" and head[8:12] in HEIC_BRANDS:
        raise StillPictureRefused(
            "This is a HEIC picture, which browsers cannot show. Set the camera to save JPEG "
            "(often called “most compatible”), or export this still as JPEG and send that."
        )


def demand_whole_pictures() -> None:
    """Have Pillow refuse a cut-short picture.

    Once imported, WeasyPrint has it make up what is missing, in the whole process.
    """
    ImageFile.LOAD_TRUNCATED_IMAGES = False


def _bare_pixels(file: File[bytes]) -> Image.Image:
    demand_whole_pictures()
    try:
        with Image.open(file, formats=READABLE) as picture:
            _refuse_bomb(picture)
            picture.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX), Image.Resampling.LANCZOS)
            upright = ImageOps.exif_transpose(picture)
            return _as_rgb(upright)
    except StillPictureRefused:
        raise
    except UnidentifiedImageError as error:
        raise StillPictureRefused(NOT_A_PICTURE) from error
    except Image.DecompressionBombError as error:
        raise _too_many_pixels() from error
    except Exception as error:  # damaged bytes make the decoders raise nearly anything
        raise StillPictureRefused(BROKEN) from error


def _refuse_bomb(picture: Image.Image) -> None:
    if picture.width * picture.height > MAX_PIXELS:
        raise _too_many_pixels()
    if picture.mode in UNSUITED_MODES:
        raise StillPictureRefused("This kind of PNG is not for photographs. Save it as JPEG.")


def _too_many_pixels() -> StillPictureRefused:
    return StillPictureRefused(
        f"The picture has more than {MAX_PIXELS // 1_000_000} million pixels. "
        "Save it at a lower resolution."
    )


def _as_rgb(picture: Image.Image) -> Image.Image:
    """Plain pixels on white where the picture is see-through, and nothing beside them."""
    if picture.has_transparency_data:
        flat = Image.new("RGBA", picture.size, "white")
        flat.alpha_composite(picture.convert("RGBA"))
        picture = flat
    rgb = picture.convert("RGB")
    rgb.info = {}
    return rgb
