"""The page of an entry says what was known where its still was filmed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import Entry
from school.models import Account
from tests.assessments.reports import scene
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(golfer: Account, client_of: Callable[[Account | None], Client]) -> Callable[..., str]:
    def look(**payload: Any) -> str:
        entry = scene.impact(EnrolmentFactory.create(golfer=golfer.golfer), "intake")
        Entry.objects.filter(pk=entry.pk).update(payload=entry.payload | payload)
        answer = client_of(golfer).get(reverse("entry_detail", args=[entry.pk]))
        return " ".join(answer.content.decode().split())

    return look


def test_without_a_place_the_range_is_that_of_the_clicks(page: Callable[..., str]) -> None:
    words = page()
    assert "± counts how far a click may lie off alone." in words
    assert "steps" not in words


def test_at_a_place_it_counts_the_joints(page: Callable[..., str]) -> None:
    words = page(placement_sd_mm={"lead_wrist": 3.0}, joints="marked")
    assert "± counts how far a click may lie off and how surely a joint can be seen." in words


def test_two_frames_are_said(page: Callable[..., str]) -> None:
    words = page(landmarks_before={"club_head": [1.0, 2.0]})
    assert "Measured between two frames" in words


def test_steps_stand_beside_balls(page: Callable[..., str]) -> None:
    words = page(step_mm=21.335)
    assert "One step is 21.34 mm." in words
    assert "+4.8 ± 1.9 steps" in words
