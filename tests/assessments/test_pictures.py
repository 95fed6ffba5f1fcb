"""Uploads: what is refused and in which words, and what is left of what is kept."""

import hashlib
import struct
import time
import zlib
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFile, PngImagePlugin

from assessments import pictures
from assessments.errors import StillPictureRefused
from assessments.pictures import MAX_FILE_MB, SafePicture, safe_picture
from tests.assessments.factories import picture, rendering, upload_of

ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F


def kept(safe: SafePicture) -> Image.Image:
    return Image.open(BytesIO(safe.jpeg))


def photograph(orientation: int = 1) -> SimpleUploadedFile:
    """Red at the left, with a position, a maker and a comment."""
    image = picture((640, 480))
    image.paste("red", (0, 0, 320, 480))
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = orientation, "Somebody's phone"
    exif[GPS] = {1: "N", 2: (56.0, 20.0, 24.0), 3: "W", 4: (2.0, 48.0, 12.0)}
    return upload_of(image, exif=exif, comment=b"hole 7", icc_profile=b"profile", quality=95)


def test_position_and_all_that_is_not_the_picture_stay_behind() -> None:
    upload = photograph()
    assert b"Somebody" in upload.read()
    safe = safe_picture(upload)
    assert not kept(safe).getexif()
    assert kept(safe).info.keys() <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert not any(left in safe.jpeg for left in (b"Somebody", b"hole 7", b"Exif", b"profile"))


def test_text_in_a_png_stays_behind() -> None:
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", "taken at hole 7")
    assert b"hole 7" not in safe_picture(upload_of(picture(), "PNG", pnginfo=text)).jpeg


@pytest.mark.parametrize(
    ("orientation", "size", "red_at"),
    [(1, (640, 480), (5, 5)), (3, (640, 480), (635, 5)), (6, (480, 640), (5, 5))],
)
def test_the_picture_stands_upright(
    orientation: int, size: tuple[int, int], red_at: tuple[int, int]
) -> None:
    safe = safe_picture(photograph(orientation))
    assert (safe.width_px, safe.height_px) == size
    red, green, _ = kept(safe).getpixel(red_at)  # type: ignore[misc]
    assert red > 200 > green


def test_a_large_picture_is_scaled_once_to_1600_pixels() -> None:
    safe = safe_picture(upload_of(picture((4000, 3000))))
    assert kept(safe).size == (safe.width_px, safe.height_px) == (1600, 1200)


def test_a_picture_is_never_enlarged() -> None:
    assert safe_picture(rendering()).width_px == 1280


def test_the_same_upload_gives_the_same_bytes() -> None:
    first, second = safe_picture(rendering()), safe_picture(rendering())
    assert first.sha256 == second.sha256 == hashlib.sha256(first.jpeg).hexdigest()


@pytest.mark.parametrize("mode", ["CMYK", "L"])
def test_other_colours_become_plain_ones(mode: str) -> None:
    assert kept(safe_picture(upload_of(picture(mode=mode)))).mode == "RGB"


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "1"])
def test_kinds_of_png_become_plain_colours(mode: str) -> None:
    assert kept(safe_picture(upload_of(picture(mode=mode), "PNG"))).mode == "RGB"


def test_see_through_parts_become_white() -> None:
    hidden = Image.new("RGBA", (640, 480), (255, 0, 0, 0))
    assert kept(safe_picture(upload_of(hidden, "PNG"))).getpixel((9, 9)) == (255, 255, 255)


def test_webp_is_read() -> None:
    assert safe_picture(upload_of(picture(), "WEBP")).width_px == 640


def refusal(upload: SimpleUploadedFile) -> str:
    with pytest.raises(StillPictureRefused) as refused:
        safe_picture(upload)
    return str(refused.value)


def named(content: bytes, name: str = "still.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


@pytest.mark.parametrize("content", [b"", b"just words", b"%PDF-1.7", b"\xff\xd8\xff", b"\x89PNG"])
def test_another_file_called_jpg_is_no_picture(content: bytes) -> None:
    assert "no JPEG, PNG or WebP" in refusal(named(content))


def test_a_picture_of_another_kind_is_none_either() -> None:
    assert "no JPEG, PNG or WebP" in refusal(upload_of(picture(), "GIF"))


def test_heic_comes_with_advice() -> None:
    assert "most compatible" in refusal(named(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_half_a_picture_is_refused(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)  # as WeasyPrint leaves it
    noise = Image.effect_noise((640, 480), 80)
    whole = upload_of(noise, kind).read()
    assert "did not arrive whole" in refusal(named(whole[: len(whole) // 2]))


def test_a_file_that_is_too_large_is_not_even_opened() -> None:
    upload = rendering()
    upload.size = MAX_FILE_MB * 1_000_000 + 1
    assert "larger than 20 MB" in refusal(upload)


def bomb(side: int) -> SimpleUploadedFile:
    """The head of a PNG that says it is side by side pixels, and hardly any data."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0))
    data = chunk(b"IDAT", zlib.compress(b"\x00" * 1000))
    return named(b"\x89PNG\r\n\x1a\n" + head + data + chunk(b"IEND", b""))


@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
@pytest.mark.parametrize("side", [8_100, 10_000, 60_000])
def test_a_bomb_is_refused_before_it_is_decoded(side: int) -> None:
    assert "64 million pixels" in refusal(bomb(side))


def test_a_preview_is_too_small_to_mark() -> None:
    assert "160 by 120" in refusal(upload_of(picture((160, 120))))


def test_deep_grey_is_not_for_photographs() -> None:
    assert "Save it as JPEG" in refusal(upload_of(picture(mode="I;16"), "PNG"))


WHOLE = {kind: upload_of(picture((320, 240)), kind).read() for kind in ("JPEG", "PNG", "WEBP")}


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(sorted(WHOLE)), st.integers(0, 2000), st.binary(min_size=1, max_size=8))
def test_damage_is_refused_in_words_or_does_not_matter(kind: str, at: int, bits: bytes) -> None:
    content = bytearray(WHOLE[kind])
    at %= len(content)
    content[at : at + len(bits)] = bits
    with suppress(StillPictureRefused):
        assert kept(safe_picture(named(bytes(content)))).format == "JPEG"


def test_pictures_that_come_together_are_decoded_one_by_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    at_work, most = [0], [0]

    def decode(file: object) -> Image.Image:
        at_work[0] += 1
        most[0] = max(most[0], at_work[0])
        time.sleep(0.02)
        at_work[0] -= 1
        return picture()

    monkeypatch.setattr(pictures, "_bare_pixels", decode)
    with ThreadPoolExecutor(4) as threads:
        list(threads.map(safe_picture, [upload_of(picture()) for _ in range(4)]))
    assert most == [1]
