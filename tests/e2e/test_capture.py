"""Stills from a clip and many at once, in a real browser; then marked one after the other."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.db.models.fields.files import FieldFile
from PIL import Image
from playwright.sync_api import FilePayload, Page, expect

from assessments.models import Entry, FilmingPlace, Still
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import FLIP, STRONG, attendee_of, rendering, session_at
from tests.assessments.impact.marks import rendered
from tests.browser import looked_at, stage_box
from tests.e2e.conftest import NewPage
from tests.factories import StaffFactory, consented
from tests.lessons.factories import SquadMemberFactory

pytestmark = pytest.mark.django_db(transaction=True)

MOST_PRESSES = 11
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
    page.emulate_media(reduced_motion="reduce")  # a button half way to its colour fails axe
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill("ines@example.org")
    page.get_by_label("Password").fill("wind-and-dunes")
    page.get_by_role("button", name="Sign in", exact=True).click()
    return page


def number_of(file: FieldFile) -> int:
    """The number that the patches of a stored frame tell."""
    with Image.open(file) as frame:
        row = frame.convert("L").crop((10, 30, 310, 31))
        patches = row.resize((5, 1), Image.Resampling.NEAREST)
        bits = ["1" if grey > 128 else "0" for grey in patches.tobytes()]
    return int("".join(reversed(bits)), 2)


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
    assert (number_of(still.picture_before), number_of(still.picture)) == (12, 13)

    # A browser that does not tell which frame it shows goes by the rate of the filming place.
    page.add_init_script("delete HTMLVideoElement.prototype.requestVideoFrameCallback")
    page.reload()
    picked.set_input_files(CLIP)
    expect(page.get_by_label("Frames a second in the clip")).to_have_value("240")
    page.get_by_label("Frames a second in the clip").fill("30")
    page.get_by_role("button", name="10 on").click()
    expect(page.get_by_text("Frame 11 of 24")).to_be_visible()
    page.get_by_role("button", name="Take as the frame at").click()
    page.get_by_role("button", name="Send, then the next swing").click()
    expect(page.get_by_text("Sent. 1 still is with the school")).to_be_visible()
    assert number_of(Still.objects.get(picture_before="").picture) == 10

    picked.set_input_files(payload_of(STRONG, "swing.jpg"))
    page.get_by_role("button", name="Send and mark it").click()
    expect(page.get_by_role("heading", name="Mark the still")).to_be_visible()


def test_many_stills_then_the_queue(page: Page, session: Session) -> None:
    school = session.plan.school
    page.goto(f"/schools/{school.pk}/stills/")
    expect(page.get_by_text("Not to be filmed. Cass Dorn.")).to_be_visible()
    looked_at(page)
    broken: FilePayload = {"name": "IMG_2.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"}
    page.get_by_label("Choose the stills").set_input_files(
        [payload_of(STRONG, "IMG_1.jpg"), broken, payload_of(FLIP, "CarrBo-3.jpg")]
    )
    rows = page.locator("[data-still]")
    expect(rows).to_have_count(3)
    expect(rows.nth(2)).to_contain_text("read from the file's name")
    expect(rows.nth(2).get_by_label("Golfer")).to_have_value(str(attendee_of(session, 1).pk))
    expect(page.get_by_text("0 of 3 sent. 3 still need a golfer or a phase.")).to_be_visible()

    rows.nth(0).get_by_label("Phase").select_option("intake")
    rows.nth(0).get_by_label("Golfer").select_option("Alma Berg")
    rows.nth(0).get_by_label("Golfer").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("=")
    expect(rows.nth(2).get_by_label("Golfer")).to_be_focused()
    rows.nth(2).get_by_label("Phase").select_option("exit")
    looked_at(page)

    page.get_by_role("button", name="Send the stills").click()
    expect(page.get_by_text("2 of 3 sent. 1 refused")).to_be_visible()
    expect(rows.nth(1)).to_contain_text("no JPEG, PNG or WebP picture")
    looked_at(page)
    rows.nth(1).get_by_role("button", name="Leave out").click()
    expect(page.get_by_text("2 of 2 sent.")).to_be_visible()
    found = Still.objects.values_list("enrolment__golfer__full_name", "phase", "club_class")
    assert list(found) == [("Alma Berg", "intake", "iron"), ("Bo Carr", "exit", "iron")]

    page.get_by_role("link", name="Mark them").click()
    for name in (STRONG, FLIP):
        expect(page.get_by_role("heading", name="Mark the still")).to_be_visible()
        assert presses_to_mark(page, name) <= MOST_PRESSES
    expect(page.get_by_role("heading", name="All are marked")).to_be_visible()
    looked_at(page)
    assert Entry.objects.count() == 2


def presses_to_mark(page: Page, name: str) -> int:
    """Mark what is needed by mouse and save; how often something was pressed for it.

    A practised person takes 3 s a press, so that ten points and the saving stay under 40 s.
    """
    case = rendered(name)
    told = page.locator("#marking-data").evaluate("data => JSON.parse(data.textContent)")
    box = stage_box(page)
    presses = 0
    for landmark in told["landmarks"]:
        if landmark["required"]:
            u, v = case["landmarks_px"][landmark["key"]]
            scale = box["width"] / case["width"]
            page.mouse.click(box["x"] + u * scale, box["y"] + v * scale)
            presses += 1
    with page.expect_navigation():
        page.get_by_role("button", name="Save the marks").click()
    return presses + 1
