"""Stills from a clip and many at once, in a real browser; then marked one after the other."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from PIL import Image
from playwright.sync_api import FilePayload, Page, expect

from assessments.models import FilmingPlace, Still
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import STRONG, attendee_of, rendering, session_at
from tests.browser import looked_at
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory, consented
from tests.lessons.factories import SquadMemberFactory

pytestmark = pytest.mark.django_db(transaction=True)

# 24 drawn frames at 30 a second; five patches in each tell its number, counted from 0, in bits.
CLIP = Path(__file__).parent / "clips" / "swing.webm"


@pytest.fixture
def instructor(transactional_db: None) -> Account:
    staff = StaffFactory.create(teaches=True, account__email="ines@example.org")
    account: Account = staff.account
    return account


@pytest.fixture
def session(instructor: Account) -> Session:
    """A squad of two who may be filmed and one who may not."""
    made = session_at(instructor, "impact")
    for number, name in enumerate(("Alma Berg", "Bo Carr", "Cass Dorn")):
        if number:
            SquadMemberFactory.create(squad=made.squad)
        attendee = attendee_of(made, number)
        attendee.golfer.full_name = name
        attendee.golfer.save(update_fields=["full_name"])
        if name != "Cass Dorn":
            consented(attendee)
    return made


@pytest.fixture
def page(new_page: NewPage, session: Session) -> Page:
    page = new_page()
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    return page


def number_of(file: str) -> int:
    """The number that the patches of a stored frame tell."""
    with default_storage.open(file) as stored, Image.open(BytesIO(stored.read())) as frame:
        grey = frame.convert("L")
        return sum((grey.getpixel((40 + 60 * bit, 30)) > 128) << bit for bit in range(5))  # type: ignore[operator]


def payload_of(name: str, file_name: str) -> FilePayload:
    read = rendering(name).read()
    return {"name": file_name, "mimeType": "image/jpeg", "buffer": read}


def test_two_frames_of_a_clip(page: Page, session: Session) -> None:
    place = FilmingPlace.objects.create(name="Bay 1", frames_a_second=240)
    attendee: Enrolment = attendee_of(session)
    page.goto(f"/sessions/{session.pk}/attendees/{attendee.pk}/impact/")
    looked_at(page)
    page.get_by_role("link", name="Choose frames of a clip").click()
    looked_at(page)
    picked = page.get_by_label("Choose a clip or a picture")
    picked.set_input_files({"name": "swing.mov", "mimeType": "video/mp4", "buffer": b"no clip"})
    expect(page.get_by_text("This browser cannot play “swing.mov”")).to_be_visible()

    picked.set_input_files(CLIP)
    expect(page.get_by_label("Frames a second in the clip")).to_have_value("30")
    expect(page.get_by_text("Frame 1 of 24, 0.000 s")).to_be_visible()
    page.get_by_role("button", name="10 on").click()
    expect(page.get_by_text("Frame 11 of 24")).to_be_visible()
    page.get_by_label("Where in the clip").focus()
    for key in ("ArrowRight", ".", ".", ","):
        page.keyboard.press(key)
    expect(page.get_by_text("Frame 13 of 24, 0.4")).to_be_visible()
    page.get_by_role("button", name="Take as the frame before").click()
    page.get_by_role("button", name="Take as the frame at").click()
    expect(page.get_by_text("Both are the same frame.")).to_be_visible()
    page.get_by_role("button", name="1 on", exact=True).click()
    expect(page.get_by_text("Frame 14 of 24, 0.4")).to_be_visible()
    page.get_by_role("button", name="Take as the frame at").click()
    page.get_by_label("Filmed at").select_option("Bay 1")
    looked_at(page)

    page.context.set_offline(True)
    page.get_by_role("button", name="Send and mark it").click()
    expect(page.get_by_text("It is kept here: send it again.")).to_be_visible()
    page.context.set_offline(False)
    page.get_by_role("button", name="Send, then the next swing").click()
    expect(page.get_by_text("Sent. 1 still is with the school")).to_be_visible()
    still = Still.objects.get()
    assert (still.filming_place, still.width_px, still.height_px) == (place, 400, 300)
    assert (number_of(still.picture_before.name), number_of(still.picture.name)) == (12, 13)

    picked.set_input_files(payload_of(STRONG, "swing.jpg"))
    page.get_by_role("button", name="Send and mark it").click()
    expect(page.get_by_role("heading", name="Mark the still")).to_be_visible()
