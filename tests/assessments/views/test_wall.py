"""The pages of the wall: who opens them, what they say, and what consents end."""

from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from assessments.models import Entry, ReferenceStill, Still
from lessons.models import Session
from school.models import Account, Enrolment, School
from tests.assessments.factories import FLIP, STRONG, StillFactory, session_at
from tests.assessments.reports.scene import impact
from tests.assessments.wall.scene import KEPT, NAMED, SHOWN, attendee
from tests.factories import SchoolFactory, StaffFactory
from tests.school.pdf_text import text_of

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]

PAGES = ("wall", "wall_present", "wall_sheet_pdf", "wall_sheet_png")
OF_A_STILL = ("wall_tile", "still_export", "still_reference")


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "impact")


@pytest.fixture
def school(session: Session) -> School:
    return session.plan.school


@pytest.fixture
def client(instructor: Account, client_of: ClientOf) -> Client:
    return client_of(instructor)


@pytest.fixture
def entry(school: School) -> Entry:
    return impact(attendee(school, "Alma Birk", SHOWN, KEPT), "exit")


@pytest.fixture
def named(school: School) -> Entry:
    return impact(attendee(school, "Bo Named", SHOWN, NAMED), "exit", FLIP)


@pytest.fixture
def still(entry: Entry) -> Still:
    assert entry.still is not None
    return entry.still


def url(name: str, still: Still) -> str:
    school = still.enrolment.school_id
    return reverse(name, args={"wall_tile": [school, still.pk]}.get(name, [still.pk]))


def page(client: Client, name: str, school: School, **asked: str) -> Any:
    return client.get(reverse(name, args=[school.pk]), {"club": "iron", "phase": "exit", **asked})


def words(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def withdraw(enrolment: Enrolment, kind: str) -> None:
    assert enrolment.consents.filter(text__kind=kind).update(withdrawn_at=timezone.now())


@pytest.mark.parametrize("name", PAGES)
def test_whoever_teaches_there_or_runs_the_house_opens_it(
    name: str, entry: Entry, client: Client, school: School, client_of: ClientOf
) -> None:
    desk = StaffFactory.create(at_front_desk=True).account
    for one in (client, client_of(desk)):
        assert page(one, name, school).status_code == 200


@pytest.mark.parametrize("name", PAGES)
def test_nobody_else_does(
    name: str, entry: Entry, school: School, other_instructor: Account, client_of: ClientOf
) -> None:
    all_but = [other_instructor, _golfer(entry)]
    for account in all_but:
        assert page(client_of(account), name, school).status_code == 404


@pytest.mark.parametrize("name", OF_A_STILL)
def test_a_still_is_for_those_who_teach_there(
    name: str, still: Still, entry: Entry, other_instructor: Account, client_of: ClientOf
) -> None:
    for account in (other_instructor, _golfer(entry)):
        asked = client_of(account)
        answer = (
            asked.post(url(name, still))
            if name == "still_reference"
            else asked.get(url(name, still))
        )
        assert answer.status_code == 404


def _golfer(entry: Entry) -> Account:
    golfer = entry.enrolment.golfer
    golfer.account = Account.objects.create_user("alma@example.org", full_name="Alma Birk")
    golfer.save(update_fields=["account"])
    return golfer.account


def test_the_wall_says_measure_place_and_why_it_is_not_sure(
    entry: Entry, named: Entry, client: Client, school: School
) -> None:
    said = words(page(client, "wall", school))
    assert "Forearm-line offset, iron, exit" in said
    assert "From lowest to highest forearm-line offset, in ball diameters." in said
    assert "Place 1 of 2" in said
    assert "this is an order of stills and not of golfers" in said
    assert said.index("Bo Named") < said.index("Alma Birk")


def test_a_tie_is_said(entry: Entry, client: Client, school: School) -> None:
    impact(attendee(school, "Cass", SHOWN), "exit", shift_px=1)
    said = words(page(client, "wall", school))
    assert "Place 1 to 2 of 2, tied" in said
    assert "tied with the next" in said
    assert "which comes first cannot be told" in said


def test_who_is_not_there_is_counted(entry: Entry, client: Client, school: School) -> None:
    impact(attendee(school, "Shy"), "exit")
    StillFactory.create(enrolment=entry.enrolment, phase="exit")
    entry.warnings = ["not_at_impact"]
    entry.save(update_fields=["warnings"])
    said = words(page(client, "wall", school))
    assert "1 still of 1 golfer not shown: nobody has agreed" in said
    assert "1 still not marked yet." in said
    assert "No place" in said
    assert "so this is not the strike" in said
    assert "Shy" not in said


def test_an_empty_wall_says_what_comes_here(client: Client, school: School) -> None:
    assert "No still hangs here" in words(page(client, "wall", school))
    assert "No still hangs here" in words(page(client, "wall_present", school))
    assert page(client, "wall_sheet_png", school).status_code == 200


@pytest.mark.parametrize(
    "asked",
    [{"measure": "beauty"}, {"club": "putter"}, {"phase": "never"}, {"with": "x"}, {"order": "x"}],
)
def test_what_cannot_be_asked_is_said_and_the_rest_is_shown(
    asked: dict[str, str], entry: Entry, client: Client, school: School
) -> None:
    answer = page(client, "wall", school, **asked)
    assert "Select a valid choice" in words(answer)
    assert "From lowest to highest forearm-line offset" in words(answer)


def test_practice_has_no_other_day(entry: Entry, client: Client, school: School) -> None:
    answer = page(client, "wall", school, phase="practice", **{"with": "pairs"})
    assert "Practice has no other day" in words(answer)


def test_pairs_hang_beside_each_other(entry: Entry, client: Client, school: School) -> None:
    impact(entry.enrolment, "intake", FLIP)
    said = words(page(client, "wall", school, **{"with": "pairs"}))
    assert said.index("Impact at the intake") < said.index("Impact at the exit")
    assert "Whether a golfer has changed is said in the report" in said


@pytest.mark.parametrize("name", ["wall", "wall_present"])
def test_a_pair_says_that_the_still_beside_is_doubtful(
    name: str, entry: Entry, client: Client, school: School
) -> None:
    other = impact(entry.enrolment, "intake", FLIP)
    other.warnings = ["not_at_impact"]
    other.save(update_fields=["warnings"])
    said = words(page(client, name, school, **{"with": "pairs"}))
    assert "The intake still is doubtful." in said
    assert "so this is not the strike" in said


def test_the_projector_knows_only_those_who_agreed(
    entry: Entry, named: Entry, client: Client, school: School
) -> None:
    said = words(page(client, "wall_present", school))
    assert "Bo Named" in said
    assert "Alma" not in said
    assert 'data-bs-theme="dark"' in said
    withdraw(named.enrolment, NAMED)
    assert "Bo Named" not in words(page(client, "wall_present", school))


def test_the_next_measure_is_a_link(entry: Entry, client: Client, school: School) -> None:
    said = words(page(client, "wall_present", school))
    assert "measure=forearm_lean_deg&amp;order=up&amp;club=iron" in said
    last = page(client, "wall_present", school, measure="ball_position_bd")
    assert "measure=forearm_line_offset_bd" in words(last)


def test_the_sheet_to_print(entry: Entry, named: Entry, client: Client, school: School) -> None:
    impact(attendee(school, "Shy"), "exit")
    answer = page(client, "wall_sheet_pdf", school)
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Cache-Control"] == "private, no-store"
    said = " ".join(text_of(answer.content).split())
    assert "From lowest to highest forearm-line offset" in said
    assert "Place 1 of 2" in said
    assert "Bo Named" in said
    assert not any(name in said for name in ("Alma", "Shy"))


def test_the_sheet_as_a_picture(entry: Entry, client: Client, school: School) -> None:
    answer = page(client, "wall_sheet_png", school)
    with Image.open(BytesIO(answer.content)) as picture:
        assert picture.format == "PNG"
        assert round(picture.info["dpi"][0]) == 330
    assert "attachment" in answer.headers["Content-Disposition"]


def test_a_sheet_does_without_a_picture_that_is_gone(
    still: Still, client: Client, school: School
) -> None:
    default_storage.delete(str(still.picture))
    assert page(client, "wall_sheet_png", school).status_code == 200
    assert client.get(url("wall_tile", still)).status_code == 404
    assert client.get(url("still_export", still)).status_code == 404


def test_tiles_share_a_frame_and_come_large_for_the_projector(still: Still, client: Client) -> None:
    sizes = []
    for asked in ("", "?large"):
        answer = client.get(url("wall_tile", still) + asked)
        assert answer.headers["Cache-Control"] == "private, no-cache"
        with Image.open(BytesIO(answer.content)) as picture:
            sizes.append(picture.size)
    assert sizes == [(630, 864), (840, 1152)]


def test_the_browser_asks_each_time_and_is_refused_once_consent_is_withdrawn(
    still: Still, client: Client
) -> None:
    at = url("wall_tile", still)
    tag = client.get(at).headers["ETag"]
    assert client.get(at, headers={"if-none-match": tag}).status_code == 304
    withdraw(still.enrolment, SHOWN)
    assert client.get(at, headers={"if-none-match": tag}).status_code == 404
    assert client.get(url("still_export", still)).status_code == 404


@pytest.mark.parametrize("name", PAGES)
def test_withdrawing_empties_every_page(
    name: str, entry: Entry, client: Client, school: School
) -> None:
    full = page(client, name, school)
    withdraw(entry.enrolment, SHOWN)
    bare = page(client, name, school)
    if name == "wall_sheet_png":
        assert _size(bare)[1] < _size(full)[1] / 2
    elif name == "wall_sheet_pdf":
        assert "Place 1 of 1" in text_of(full.content)
        assert "Place 1 of 1" not in text_of(bare.content)
    else:
        assert "<img" in words(full)
        assert "<img" not in words(bare)


def _size(answer: Any) -> tuple[int, int]:
    with Image.open(BytesIO(answer.content)) as picture:
        return picture.size


def test_an_unmarked_still_has_no_tile(client: Client, entry: Entry) -> None:
    bare = StillFactory.create(enrolment=entry.enrolment)
    assert client.get(url("wall_tile", bare)).status_code == 404


def test_a_still_is_exported_at_its_own_size_and_without_a_name(
    still: Still, client: Client
) -> None:
    answer = client.get(url("still_export", still))
    with Image.open(BytesIO(answer.content)) as picture:
        assert (picture.format, picture.size) == ("PNG", (still.width_px, still.height_px))
    assert "Alma" not in answer.headers["Content-Disposition"]


def test_a_still_is_kept_and_taken_out_by_a_button(
    still: Still, client: Client, school: School
) -> None:
    back = "measure=shaft_lean_deg&club=iron"
    answer = client.post(url("still_reference", still), {"keep": "1", "wall": back})
    assert answer.headers["Location"] == f"{reverse('wall', args=[school.pk])}?{back}"
    assert ReferenceStill.objects.get().still == still
    assert "Take out of the reference set" in words(page(client, "wall", school))
    client.post(url("still_reference", still), {"wall": back})
    assert not ReferenceStill.objects.exists()


def test_without_consent_the_button_is_not_there_and_says_why_it_is_refused(
    named: Entry, client: Client, school: School
) -> None:
    assert "Keep as reference" not in words(page(client, "wall", school))
    assert named.still is not None
    answer = client.post(url("still_reference", named.still), {"keep": "1"}, follow=True)
    assert "Bo Named has not agreed that stills are kept for later schools" in words(answer)


def test_the_reference_set_hangs_beside_without_names_until_withdrawn(
    client: Client, school: School, named: Entry
) -> None:
    kept = impact(attendee(SchoolFactory.create(), "Old Golfer", KEPT, NAMED), "exit", STRONG)
    assert kept.still is not None
    ReferenceStill.objects.create(still=kept.still)
    tile = reverse("wall_tile", args=[school.pk, kept.still.pk])
    for name in ("wall", "wall_present"):
        said = words(page(client, name, school, **{"with": "reference"}))
        assert tile in said
        assert "Reference: below 1" in said
        assert "Old Golfer" not in said
    assert client.get(tile).status_code == 200
    assert client.get(url("still_export", kept.still)).status_code == 404
    withdraw(kept.enrolment, KEPT)
    assert client.get(tile).status_code == 404
    assert tile not in words(page(client, "wall", school, **{"with": "reference"}))


def test_the_desk_has_it_among_the_tabs(
    entry: Entry, school: School, front_desk: Account, client: Client, client_of: ClientOf
) -> None:
    said = words(client_of(front_desk).get(reverse("school", args=[school.pk])))
    assert f'href="{reverse("wall", args=[school.pk])}"' in said
    assert "nav-tabs" not in words(page(client, "wall", school))
