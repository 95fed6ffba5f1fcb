"""The stills of a report: the same frame for each, and words when one cannot be drawn."""

import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from PIL import Image

from assessments.actions.reports import render_report
from assessments.models import Report
from assessments.reports.errors import StillUnreadable
from assessments.reports.gather import Picture, gather
from assessments.reports.pictures import draw
from school.models import Enrolment
from tests.assessments.factories import FLIP
from tests.assessments.reports import scene
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def enrolment() -> Enrolment:
    made: Enrolment = EnrolmentFactory.create()
    scene.impact(made, "intake", FLIP)
    scene.impact(made, "exit")
    return made


@pytest.fixture
def picture(enrolment: Enrolment) -> Picture:
    exit_ = gather(enrolment).clubs[0].exit
    assert exit_ is not None
    return exit_.picture


def gone(path: Path) -> None:
    path.unlink()


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:5000])


def no_picture(path: Path) -> None:
    path.write_text("not a picture")


def another_size(path: Path) -> None:
    Image.new("RGB", (300, 300)).save(path)


def test_a_still_becomes_a_picture_35_balls_wide(picture: Picture) -> None:
    drawn = Image.open(io.BytesIO(draw(picture, ball_px=10)))
    assert drawn.size == (350, 480)


@pytest.mark.parametrize("harm", [gone, cut_short, no_picture, another_size])
def test_a_still_that_cannot_be_drawn_is_named(
    harm: Callable[[Path], None], picture: Picture
) -> None:
    harm(Path(default_storage.path(picture.file)))
    with pytest.raises(StillUnreadable, match="The exit still with iron"):
        draw(picture, ball_px=10)


def test_marks_that_cannot_be_right_are_no_reason_to_try_again(picture: Picture) -> None:
    wrong = replace(picture, geometry=replace(picture.geometry, landmarks={}))
    with pytest.raises(StillUnreadable):
        draw(wrong, ball_px=10)


def test_an_unreadable_still_stops_the_report_with_words(
    enrolment: Enrolment, picture: Picture
) -> None:
    cut_short(Path(default_storage.path(picture.file)))
    report = Report.objects.create(enrolment=enrolment)
    assert not render_report(report.pk)
    report.refresh_from_db()
    assert report.state == "parked"
    assert "Record the impact with another still" in report.reason
