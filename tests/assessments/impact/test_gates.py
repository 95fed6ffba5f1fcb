"""The gates of frame quality on rendered stills, sharp and blurred on purpose."""

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter, uniform_filter1d

from assessments.impact.errors import Doubt
from assessments.impact.gates import GateReadings, doubts_of, off_square_doubts, readings
from assessments.impact.landmarks import Landmark
from tests.assessments.impact.marks import STILLS, rendered_geometry

SHARP = "01_iron_right_strong", "03_iron_right_flip", "07_iron_left_strong", "05_driver_right_level"


def grey(name: str) -> NDArray[np.float64]:
    return np.asarray(Image.open(STILLS / f"{name}.jpg").convert("L"), dtype=float)


def look(name: str, sigma: float = 0.0) -> GateReadings:
    picture = grey(name)
    return readings(gaussian_filter(picture, sigma) if sigma else picture, rendered_geometry(name))


@pytest.mark.parametrize("name", SHARP)
def test_a_sharp_still_passes(name: str) -> None:
    assert doubts_of(look(name)) == ()


@pytest.mark.parametrize("name", SHARP)
@pytest.mark.parametrize(
    ("sigma", "low", "high"), [(0.0, 40, 60), (1.0, 14, 27), (1.5, 6, 15), (3.0, 0.5, 5)]
)
def test_sharpness_of_the_ball_falls_with_blur(
    name: str, sigma: float, low: float, high: float
) -> None:
    assert low < look(name, sigma).ball_sharpness < high


def test_a_still_blurred_by_movement_has_a_sharp_ball_all_the_same() -> None:
    found = look("12_iron_right_early_blurred")
    assert found.ball_sharpness > 25
    assert doubts_of(found) == (Doubt.WRIST_BLURRED, Doubt.SHAFT_FAINT)


def test_a_dark_shaft_on_a_shadow_only_warns() -> None:
    assert doubts_of(look("10_driver_left_strong")) == (Doubt.SHAFT_SOFT,)


@pytest.mark.parametrize(("streak", "doubt"), [(9, Doubt.WRIST_SOFT), (31, Doubt.WRIST_BLURRED)])
def test_a_wrist_that_moved(streak: int, doubt: Doubt) -> None:
    """Smeared along the picture's rows, as a hand is by its own movement."""
    picture = uniform_filter1d(grey("03_iron_right_flip"), streak, axis=1)
    assert doubt in doubts_of(readings(picture, rendered_geometry("03_iron_right_flip")))


@pytest.mark.parametrize(("sigma", "doubt"), [(1.0, Doubt.BALL_SOFT), (3.0, Doubt.BALL_BLURRED)])
def test_all_doubts_are_collected(sigma: float, doubt: Doubt) -> None:
    found = doubts_of(look("01_iron_right_strong", sigma))
    assert doubt in found
    assert len(found) >= 2


def test_noise_is_not_taken_for_sharpness() -> None:
    picture = gaussian_filter(grey("01_iron_right_strong"), 3.0)
    noisy = picture + np.random.default_rng(1).normal(0, 2, picture.shape)
    assert Doubt.BALL_BLURRED in doubts_of(
        readings(noisy, rendered_geometry("01_iron_right_strong"))
    )


def test_marks_outside_the_picture_are_blurred() -> None:
    geometry = rendered_geometry("01_iron_right_strong")
    wrist = geometry.landmarks[Landmark.LEAD_WRIST]
    away = {**geometry.landmarks, Landmark.LEAD_WRIST: type(wrist)(-200.0, wrist.v)}
    moved = type(geometry)(
        geometry.width_px, geometry.height_px, geometry.handedness, geometry.club, away
    )
    assert readings(grey("01_iron_right_strong"), moved).wrist_sharpness == 0


def test_another_picture_is_an_error() -> None:
    with pytest.raises(ValueError, match="another size"):
        readings(np.zeros((10, 10)), rendered_geometry("01_iron_right_strong"))


@pytest.mark.parametrize(
    ("tilt", "doubts"),
    [
        (0.4, ()),
        (-0.7, (Doubt.CAMERA_OFF_SQUARE,)),
        (1.2, (Doubt.CAMERA_FAR_OFF_SQUARE,)),
    ],
)
def test_a_stick_that_tilts_in_a_level_picture(tilt: float, doubts: tuple[Doubt, ...]) -> None:
    assert off_square_doubts(tilt) == doubts
