"""What has been marked is not lost before it is saved, and is not sent twice."""

from playwright.sync_api import Page, expect

from tests.assessments.marking.conftest import save, shown
from tests.assessments.marking.harness import ENTRY, Desk
from tests.browser import mark_by_mouse, stage_box

OTHER = "22222222-2222-4222-8222-222222222222"


def mark_needed(page: Page, desk: Desk) -> None:
    mark_by_mouse(page, {key: desk.points[key] for key in desk.required}, desk.size)


def test_a_reload_brings_the_marks_and_their_entry_back(opened: Page, desk: Desk) -> None:
    mark_needed(opened, desk)
    before = shown(opened)
    desk.more = {"entryId": OTHER}
    opened.reload()
    expect(opened.get_by_text("Your marks were kept on this device and are back.")).to_be_visible()
    assert shown(opened) == before
    save(opened)
    assert desk.sent[0]["entry_id"] == ENTRY


def test_each_still_has_its_own_draft(opened: Page, desk: Desk) -> None:
    mark_needed(opened, desk)
    desk.still_name = "03_iron_right_flip"
    opened.reload()
    expect(opened.get_by_text("Nothing marked yet.")).to_be_visible()


def test_a_refused_still_keeps_its_marks_and_says_why(opened: Page, desk: Desk) -> None:
    mark_needed(opened, desk)
    before = shown(opened)
    desk.errors = ["The lead elbow is marked below the wrist."]
    save(opened)
    expect(opened.get_by_role("alert").first).to_contain_text(desk.errors[0])
    assert shown(opened) == before
    expect(opened.get_by_role("button", name="Save the marks")).to_be_enabled()


def test_saved_marks_are_no_draft(opened: Page, desk: Desk) -> None:
    mark_needed(opened, desk)
    save(opened)
    desk.more = {"entryId": OTHER, "supersedes": ENTRY, "current": desk.sent[0]["landmarks"]}
    opened.goto(opened.url.replace("/done/", "/mark/"))
    stage_box(opened)
    expect(opened.get_by_text("Saved. Move a mark to correct it.")).to_be_visible()
    expect(opened.get_by_role("button", name="Save the marks")).to_be_disabled()
    assert opened.evaluate("Object.keys(localStorage).filter(k => k.includes('marks')).length") == 0


def test_a_correction_names_what_it_supersedes(opened: Page, desk: Desk) -> None:
    points = {key: desk.points[key] for key in desk.required}
    desk.more = {"entryId": OTHER, "supersedes": ENTRY, "current": points}
    opened.reload()
    stage_box(opened)
    opened.get_by_role("button", name="Lead elbow").click()
    opened.keyboard.press("ArrowRight")
    expect(opened.get_by_text("Not saved yet")).to_be_visible()
    save(opened)
    assert (desk.sent[0]["entry_id"], desk.sent[0]["supersedes"]) == (OTHER, ENTRY)


def test_a_draft_from_before_anothers_saving_becomes_a_correction(opened: Page, desk: Desk) -> None:
    mark_needed(opened, desk)
    before = shown(opened)
    desk.more = {
        "entryId": OTHER,
        "supersedes": "33333333-3333-4333-8333-333333333333",
        "current": {},
    }
    opened.reload()
    stage_box(opened)
    assert shown(opened) == before
    save(opened)
    assert desk.sent[0]["entry_id"] == OTHER


def test_marks_refused_because_others_were_saved_as_this_entry_become_a_correction(
    opened: Page, desk: Desk
) -> None:
    mark_needed(opened, desk)
    sent = shown(opened)
    saved = {**sent, "lead_elbow": [600, 300]}
    desk.more = {"entryId": OTHER, "supersedes": ENTRY, "current": saved, "posted": sent}
    opened.reload()
    stage_box(opened)
    assert shown(opened) == sent
    desk.more["posted"] = None
    opened.reload()
    stage_box(opened)
    assert shown(opened) == sent
    save(opened)
    assert (desk.sent[0]["entry_id"], desk.sent[0]["supersedes"]) == (OTHER, ENTRY)


def test_start_again_can_be_undone(opened: Page, desk: Desk) -> None:
    mark_needed(opened, desk)
    before = shown(opened)
    opened.get_by_role("button", name="Start again").click()
    expect(opened.get_by_text("Nothing marked yet.")).to_be_visible()
    opened.get_by_role("button", name="Undo").click()
    assert shown(opened) == before


def test_a_browser_that_keeps_nothing_is_told(opened: Page, desk: Desk) -> None:
    opened.evaluate("() => { Storage.prototype.setItem = () => { throw new DOMException() } }")
    mark_needed(opened, desk)
    expect(opened.get_by_text("this browser keeps nothing")).to_be_visible()
