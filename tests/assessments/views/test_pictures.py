"""Pictures are kept by the browser and asked for again each time."""

from collections.abc import Callable
from io import BytesIO
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from PIL import Image, ImageChops

from assessments.actions.entries import record_entry
from assessments.actions.stills import add_still
from assessments.models import Entry, Still
from school.models import Account
from tests.assessments.factories import attendee_of, marking, rendering, session_at
from tests.factories import consented

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(instructor: Account, client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(instructor)


@pytest.fixture
def still(instructor: Account) -> Still:
    return add_still(
        id=uuid4(),
        enrolment=consented(attendee_of(session_at(instructor, "impact"))),
        phase="intake",
        club_class="iron",
        shot_kind="full",
        upload=rendering(),
        uploaded_by=instructor,
    )


def mark(still: Still, shift_px: float = 0, supersedes: Entry | None = None) -> Entry:
    assert still.uploaded_by is not None
    payload = marking()
    payload["landmarks"]["lead_wrist"][0] += shift_px
    return record_entry(
        id=uuid4(),
        enrolment=still.enrolment,
        kind="impact",
        phase="intake",
        payload=payload,
        recorded_by=still.uploaded_by,
        still=still,
        supersedes=supersedes,
    )


def image_in(answer: Any) -> Image.Image:
    return Image.open(BytesIO(answer.getvalue())).convert("RGB")


@pytest.mark.parametrize("name", ["still_picture", "still_overlay"])
def test_a_shared_cache_keeps_nothing_and_a_browser_asks_again(
    name: str, client: Client, still: Still
) -> None:
    mark(still)
    answer = client.get(reverse(name, args=[still.pk]))
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Cache-Control"] == "private, no-cache"


@pytest.mark.parametrize("name", ["still_picture", "still_overlay"])
def test_what_has_not_changed_is_not_sent_again(name: str, client: Client, still: Still) -> None:
    mark(still)
    address = reverse(name, args=[still.pk])
    tag = client.get(address).headers["ETag"]
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 304


def test_a_picture_a_browser_holds_is_refused_with_the_right(
    client: Client, still: Still, client_of: Callable[[Account | None], Client], stranger: Account
) -> None:
    address = reverse("still_picture", args=[still.pk])
    tag = client.get(address).headers["ETag"]
    answer = client_of(stranger).get(address, headers={"If-None-Match": tag})
    assert answer.status_code == 404


def test_the_overlay_is_the_still_with_lines(client: Client, still: Still) -> None:
    mark(still)
    plain, drawn = (
        image_in(client.get(reverse(name, args=[still.pk])))
        for name in ("still_picture", "still_overlay")
    )
    assert plain.size == drawn.size
    assert ImageChops.difference(plain, drawn).getbbox() is not None


def test_a_still_that_nobody_marked_has_no_overlay(client: Client, still: Still) -> None:
    assert client.get(reverse("still_overlay", args=[still.pk])).status_code == 404


def test_the_overlay_is_of_what_stands_or_of_the_entry_asked_for(
    client: Client, still: Still
) -> None:
    first = mark(still)
    mark(still, shift_px=15, supersedes=first)
    address = reverse("still_overlay", args=[still.pk])
    assert client.get(address).content != client.get(f"{address}?entry={first.pk}").content


@pytest.mark.parametrize("asked", ["nonsense", "3f0f2b1a-0000-4000-8000-000000000001"])
def test_an_entry_that_is_not_of_this_still(asked: str, client: Client, still: Still) -> None:
    mark(still)
    address = reverse("still_overlay", args=[still.pk])
    assert client.get(f"{address}?entry={asked}").status_code == 404


@pytest.mark.parametrize("name", ["still_picture", "still_overlay"])
def test_a_file_that_is_gone_is_not_there(name: str, client: Client, still: Still) -> None:
    mark(still)
    default_storage.delete(str(still.picture))
    assert client.get(reverse(name, args=[still.pk])).status_code == 404
