"""The marking page by what it is told, a second marking, and the way on through a queue."""

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from assessments.impact.geometry import StillGeometry
from assessments.models import Entry, FilmingPlace, Marking, Still
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.factories import (
    EntryFactory,
    FilmingPlaceFactory,
    StillFactory,
    StudyFactory,
    attendee_of,
    marking,
    marks_of,
    session_at,
)
from tests.assessments.impact.test_filmed import off_square
from tests.assessments.impact.test_two_frames import pair
from tests.factories import EnrolmentFactory, consented

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "impact")


@pytest.fixture
def attendee(session: Session) -> Enrolment:
    return consented(attendee_of(session))


@pytest.fixture
def still(attendee: Enrolment) -> Still:
    made: Still = StillFactory.create(enrolment=attendee)
    return made


@pytest.fixture
def client(instructor: Account, client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(instructor)


def told(client: Client, still: Still, query: str = "") -> dict[str, Any]:
    page = client.get(reverse("still_mark", args=[still.pk]) + query)
    marking: dict[str, Any] = page.context["marking"]
    return marking


def send(client: Client, still: Still, name: str, query: str = "", **fields: Any) -> Any:
    form = {"landmarks": json.dumps(marks_of()), "entry_id": str(uuid4())} | fields
    return client.post(reverse(name, args=[still.pk]) + query, form)


def filmed_at(still: Still, **known: Any) -> FilmingPlace:
    still.filming_place = FilmingPlaceFactory.create(**known)
    still.save(update_fields=["filming_place"])
    return still.filming_place


def marked(still: Still, **fields: Any) -> Entry:
    made: Entry = EntryFactory.create(
        enrolment=still.enrolment, kind="impact", still=still, payload=marking(), **fields
    )
    return made


def with_a_frame_before(still: Still) -> None:
    still.picture_before = SimpleUploadedFile("before.jpg", b"\xff\xd8 before", "image/jpeg")
    still.sha256_before = "b" * 64
    still.save(update_fields=["picture_before", "sha256_before"])


# what the page is told


def test_the_page_is_told_what_is_known_of_the_filming_place(client: Client, still: Still) -> None:
    filmed_at(still, joints="marked", click_sd_px=0.8, step_mm=25.4)
    page = told(client, still)
    assert (page["clickSdPx"], page["stepMm"], page["scalePx"]) == (0.8, 25.4, None)
    assert page["placementSdMm"]["lead_elbow"] == 3.0
    assert not page["squaresCamera"]


def test_far_corners_are_asked_for_where_the_rectangle_is_known(
    client: Client, still: Still
) -> None:
    assert "ground_c" not in {each["key"] for each in told(client, still)["landmarks"]}
    rectangle = {"rectangle_long_mm": 1200, "rectangle_wide_mm": 450, "rectangle_behind_mm": 100}
    filmed_at(still, camera_distance_mm=4000, **rectangle)
    page = told(client, still)
    assert page["squaresCamera"]
    assert {"ground_c", "ground_d"} <= {each["key"] for each in page["landmarks"]}


def test_two_frames_need_the_head_in_both_and_the_ball_in_the_first(
    client: Client, still: Still
) -> None:
    with_a_frame_before(still)
    page = told(client, still)
    required = {each["key"] for each in page["landmarks"] if each["required"]}
    assert page["still"]["beforeUrl"] == reverse("still_before_picture", args=[still.pk])
    assert {"before:club_head", "club_head", "before:ball_edge_a"} <= required
    assert "ball_edge_a" not in required


def test_marks_of_two_frames_become_one_entry(client: Client, still: Still) -> None:
    with_a_frame_before(still)
    before, at = (json.dumps(points_of(frame)) for frame in pair(240, 0.4))
    send(client, still, "still_record", landmarks=at, landmarks_before=before)
    entry = Entry.objects.get()
    assert entry.payload["landmarks_before"] == json.loads(before)
    page = told(client, still)
    assert page["current"]["before:club_head"] == entry.payload["landmarks_before"]["club_head"]


def points_of(geometry: StillGeometry) -> dict[str, list[float]]:
    return {str(mark): [point.u, point.v] for mark, point in geometry.landmarks.items()}


def test_the_draft_of_an_unseen_marking_ends_with_it_and_is_its_markers_alone(
    client: Client,
    still: Still,
    front_desk: Account,
    client_of: Callable[[Account | None], Client],
) -> None:
    marked(still)
    front_desk.staff.teaches = True
    front_desk.staff.save(update_fields=["teaches"])
    before, others = (told(one, still, "?again=1") for one in (client, client_of(front_desk)))
    send(client, still, "still_again")
    after = told(client, still, "?again=1")
    assert len({each["draft"] for each in (before, others, after)}) == 3


def test_the_frame_before_is_shown_as_the_still_is(client: Client, still: Still) -> None:
    at = reverse("still_before_picture", args=[still.pk])
    assert client.get(at).status_code == 404
    with_a_frame_before(still)
    answer = client.get(at)
    assert b"".join(answer.streaming_content) == b"\xff\xd8 before"  # type: ignore[attr-defined]
    tag = answer.headers["ETag"]
    assert client.get(at, headers={"if-none-match": tag}).status_code == 304


# marks of another still as a start


def test_the_golfers_own_last_still_comes_before_anybodys(
    client: Client, still: Still, attendee: Enrolment
) -> None:
    place = filmed_at(still)
    somebody = EnrolmentFactory.create()
    for enrolment, elbow, days in ((attendee, 1.0, 3), (attendee, 2.0, 2), (somebody, 3.0, 0)):
        other = StillFactory.create(enrolment=enrolment, filming_place=place)
        entry = marked(other, recorded_at=timezone.now() - timedelta(days=days))
        entry.payload["landmarks"]["lead_elbow"] = [elbow, 300.0]
        entry.save(update_fields=["payload"])
    page = told(client, still)
    assert page["start"]["lead_elbow"] == [2.0, 300.0]
    assert page["startIsOwn"]


def test_anothers_still_serves_if_it_is_of_the_same_place_and_day(
    client: Client, still: Still
) -> None:
    place = filmed_at(still)
    other = StillFactory.create(filming_place=place)
    marked(other)
    page = told(client, still)
    assert (page["start"], page["startIsOwn"]) == (marks_of(), False)
    Still.objects.filter(pk=other.pk).update(uploaded_at=timezone.now() - timedelta(days=1))
    assert told(client, still)["start"] is None


@pytest.mark.parametrize(
    "other", [{"width_px": 1920}, {"handedness": "left"}, {"filming_place": None}]
)
def test_another_camera_or_another_hand_gives_no_start(
    client: Client, still: Still, attendee: Enrolment, other: dict[str, Any]
) -> None:
    place = filmed_at(still)
    marked(StillFactory.create(**{"enrolment": attendee, "filming_place": place} | other))
    assert told(client, still)["start"] is None


def test_a_still_is_no_start_for_itself(client: Client, still: Still) -> None:
    marked(still)
    assert told(client, still)["start"] is None


# marked again, unseen


def test_marking_again_shows_nothing_of_the_first(client: Client, still: Still) -> None:
    marked(still)
    answer = client.get(reverse("still_mark", args=[still.pk]) + "?again=1")
    page = answer.context["marking"]
    assert (page["current"], page["start"], page["supersedes"]) == (None, None, None)
    assert page["recordUrl"].startswith(reverse("still_again", args=[still.pk]))
    assert still.enrolment.golfer.full_name not in answer.content.decode()


def test_what_was_never_marked_is_marked_first(client: Client, still: Still) -> None:
    assert not told(client, still, "?again=1")["isUnseen"]


def test_the_second_marking_stands_beside_the_first(client: Client, still: Still) -> None:
    send(client, still, "still_record")
    entry = Entry.objects.get()
    u, v = marks_of()["lead_wrist"]
    near = json.dumps(marks_of() | {"lead_wrist": [u + 0.5, v]})
    answer = send(client, still, "still_again", landmarks=near)
    assert answer.headers["Location"] == f"{reverse('entry_detail', args=[entry.pk])}#again"
    assert Entry.objects.get() == entry
    page = client.get(reverse("entry_detail", args=[entry.pk]))
    (second,) = page.context["again"]
    assert [row.is_explained for row in second.rows] == [True] * len(second.rows)
    assert "Every difference is within" in page.content.decode()


def test_a_difference_that_the_uncertainty_does_not_explain_is_told(
    client: Client, still: Still
) -> None:
    send(client, still, "still_record")
    u, v = marks_of()["lead_wrist"]
    far = json.dumps(marks_of() | {"lead_wrist": [u + 30, v]})
    send(client, still, "still_again", landmarks=far)
    page = client.get(reverse("entry_detail", args=[Entry.objects.get().pk]))
    rows = {row.title: row for row in page.context["again"][0].rows}
    assert not rows["Hands ahead"].is_explained
    assert rows["Shaft lean"].is_explained
    assert "differ by more than" in page.content.decode()


def test_a_golfer_is_not_shown_second_markings(
    client: Client,
    still: Still,
    golfer: Account,
    client_of: Callable[[Account | None], Client],
) -> None:
    send(client, still, "still_record")
    send(client, still, "still_again")
    still.enrolment.golfer = golfer.golfer
    still.enrolment.save(update_fields=["golfer"])
    page = client_of(golfer).get(reverse("entry_detail", args=[Entry.objects.get().pk]))
    assert "Marked again" not in page.content.decode()


def test_refused_marks_come_back_unseen(client: Client, still: Still) -> None:
    marked(still)
    answer = send(client, still, "still_again", landmarks='{"lead_wrist": [1, 2]}')
    assert answer.status_code == 422
    page = answer.context["marking"]
    assert (page["isUnseen"], page["posted"]) == (True, {"lead_wrist": [1, 2]})


def test_other_marks_under_the_same_number_are_a_conflict(client: Client, still: Still) -> None:
    marked(still)
    number = str(uuid4())
    send(client, still, "still_again", entry_id=number)
    other = json.dumps(marks_of() | {"lead_wrist": [600, 500]})
    assert send(client, still, "still_again", entry_id=number, landmarks=other).status_code == 409


def test_a_still_of_a_study_counts_for_it_and_the_next_one_comes(
    client: Client, still: Still
) -> None:
    study = StudyFactory.create(markings_wanted=2)
    study.stills.create(still=still, order=1)
    query = f"?again=1&study={study.pk}&turn=2"
    assert told(client, still, query)["recordUrl"].endswith(query)
    answer = send(client, still, "still_again", query)
    assert answer.headers["Location"] == reverse("study_next", args=[study.pk])
    assert (Marking.objects.get().study, Marking.objects.get().turn) == (study, 2)


# on through the queue


def test_out_of_the_queue_saving_goes_on_to_the_next(client: Client, still: Still) -> None:
    query = "?queue=1&phase=intake"
    assert told(client, still, query)["recordUrl"].endswith(query)
    answer = send(client, still, "still_record", query)
    queue = reverse("marking_queue", args=[still.enrolment.school_id])
    assert answer.headers["Location"] == f"{queue}?after={still.pk}&phase=intake"


def test_a_script_is_told_where_the_queue_goes_on(client: Client, still: Still) -> None:
    answer = client.post(
        reverse("still_record", args=[still.pk]) + "?queue=1",
        json.dumps({"landmarks": marks_of(), "entry_id": str(uuid4())}),
        content_type="application/json",
    )
    assert f"after={still.pk}" in json.loads(answer.content)["next"]


def test_who_signed_in_again_comes_back_to_the_same_purpose(client: Client, still: Still) -> None:
    marked(still)
    answer = client.get(reverse("still_again", args=[still.pk]))
    assert answer.headers["Location"] == reverse("still_mark", args=[still.pk]) + "?again=1"


# the camera


def test_an_entry_says_what_correcting_for_the_camera_changed(client: Client, still: Still) -> None:
    camera, seen, _ = off_square()
    Still.objects.update(width_px=camera.width, height_px=camera.height)
    still.refresh_from_db()
    setup = camera.set_up
    filmed_at(
        still,
        camera_distance_mm=setup.distance_mm,
        camera_height_mm=setup.height_mm,
        rectangle_long_mm=setup.rectangle_long_mm,
        rectangle_wide_mm=setup.rectangle_wide_mm,
        rectangle_behind_mm=setup.rectangle_behind_mm,
    )
    send(client, still, "still_record", landmarks=json.dumps(points_of(seen)))
    page = client.get(reverse("entry_detail", args=[Entry.objects.get().pk]))
    gained = page.context["camera"]
    assert float(gained.yaw) == pytest.approx(6, abs=1)
    lean = next(row for row in gained.rows if row.title == "Shaft lean")
    assert lean.without != lean.corrected
    assert "toward the target, and is corrected for" in page.content.decode()


def test_without_a_rectangle_nothing_is_said_of_the_camera(client: Client, still: Still) -> None:
    entry = marked(still)
    page = client.get(reverse("entry_detail", args=[entry.pk]))
    assert page.context["camera"] is None
