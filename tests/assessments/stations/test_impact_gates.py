"""What the picture itself leaves in doubt joins the warnings of an entry."""

import logging

import numpy as np
import pytest
from django.core.files.storage import default_storage
from PIL import Image, ImageFilter

from assessments.impact.errors import Doubt
from assessments.impact.geometry import StillGeometry
from assessments.models import Still
from assessments.stations.base import Context, Payload
from assessments.stations.impact import STATION, geometry_of, known_of, measured
from tests.assessments.factories import STRONG, StillFactory, marks_of, upload_of
from tests.assessments.impact.marks import STILLS
from tests.assessments.impact.test_two_frames import pair

pytestmark = pytest.mark.django_db
BLURRED = "12_iron_right_early_blurred"
BALL = ("ball_edge_a", "ball_edge_b")


def still_of(name: str = STRONG, **fields: str) -> Still:
    picture = (STILLS / f"{name}.jpg").read_bytes()
    made: Still = StillFactory.create(picture__data=picture, **fields)
    return made


def warnings(still: Still, payload: Payload) -> tuple[str, ...]:
    return STATION.compute({"click_sd_px": 1.5} | payload, Context(still)).warnings


def marks(geometry: StillGeometry) -> dict[str, list[float]]:
    return {str(mark): [point.u, point.v] for mark, point in geometry.landmarks.items()}


def test_a_sharp_still_passes() -> None:
    assert warnings(still_of(), {"landmarks": marks_of()}) == ()


def test_a_blurred_wrist_keeps_the_still_out_of_claims() -> None:
    found = warnings(still_of(BLURRED), {"landmarks": marks_of(BLURRED)})
    assert Doubt.WRIST_BLURRED in found
    assert Doubt.WRIST_BLURRED.keeps_out
    assert Doubt.BALL_BLURRED not in found


def test_a_picture_that_is_gone_is_measured_without_being_looked_at(
    caplog: pytest.LogCaptureFixture,
) -> None:
    still = still_of(BLURRED)
    default_storage.delete(str(still.picture))
    with caplog.at_level(logging.WARNING):
        assert Doubt.WRIST_BLURRED not in warnings(still, {"landmarks": marks_of(BLURRED)})
    assert "was not looked at" in caplog.text


def test_a_picture_of_another_size_is_not_looked_at_either() -> None:
    still = still_of()
    still.picture.save("other.jpg", upload_of(Image.new("RGB", (64, 48))), save=False)
    assert warnings(still, {"landmarks": marks_of()}) == ()


def two_frames(soft: str) -> tuple[Still, Payload]:
    """A pair of frames with noise for sharpness, one of them out of focus all over."""
    before, after = pair(240, 0.4)
    noise = np.random.default_rng(3).integers(0, 255, (960, 1280), dtype=np.uint8)
    sharp = Image.fromarray(noise).convert("RGB")
    pictures = dict.fromkeys(("before", "after"), sharp)
    pictures[soft] = sharp.filter(ImageFilter.GaussianBlur(12))
    still: Still = StillFactory.create(sha256_before="b" * 64, picture_before="to come")
    for name, column in (("before", still.picture_before), ("after", still.picture)):
        column.save(f"{name}.jpg", upload_of(pictures[name]), save=False)
    return still, {"landmarks_before": marks(before), "landmarks": marks(after)}


@pytest.mark.parametrize("soft", ["before", "after"])
def test_both_frames_are_looked_at(soft: str) -> None:
    assert {Doubt.WRIST_BLURRED, Doubt.BALL_BLURRED} <= set(warnings(*two_frames(soft)))


def test_a_ball_that_is_gone_after_the_strike_is_looked_at_before_it() -> None:
    still, payload = two_frames("after")
    payload["landmarks"] = {m: p for m, p in payload["landmarks"].items() if m not in BALL}
    found = warnings(still, payload)
    assert Doubt.WRIST_BLURRED in found
    assert Doubt.BALL_BLURRED not in found


def test_the_frame_before_lends_its_ball_to_what_is_drawn() -> None:
    still, payload = two_frames("after")
    payload["click_sd_px"] = 1.5
    whole = measured(still, payload).measures["forearm_line_offset_bd"].value
    payload["landmarks"] = {m: p for m, p in payload["landmarks"].items() if m not in BALL}
    assert set(BALL) <= set(map(str, geometry_of(still, payload).landmarks))
    assert measured(still, payload).measures["forearm_line_offset_bd"].value == pytest.approx(whole)
    after, before, filming = known_of(still, payload)
    assert before is not None
    assert after.landmarks != before.landmarks
    assert filming.camera is None
