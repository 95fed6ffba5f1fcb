"""The pages of a ball-flight entry: the golfer's units, the drawing, the set beside it."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import Entry
from lessons.models import Session
from school.models import Account, Enrolment, Golfer
from tests.assessments.factories import attendee_of, session_at
from tests.assessments.reports.scene import record

pytestmark = pytest.mark.django_db
SIDES = (-4.0, 6.0, 1.0, -7.0, 3.0, 8.0, -2.0, 0.0)


@pytest.fixture
def client(client: Client, instructor: Account) -> Client:
    client.force_login(instructor)
    return client


@pytest.fixture
def session(instructor: Account) -> Session:
    return session_at(instructor, "ball_flight")


@pytest.fixture
def attendee(session: Session) -> Enrolment:
    return attendee_of(session)


def hit(enrolment: Enrolment, by: Account, club: str, carry_m: float, phase: str) -> Entry:
    shots = [{"carry_m": carry_m + n, "side_m": side} for n, side in enumerate(SIDES)]
    payload = {"club": club, "club_class": "iron", "shots": shots}
    return record(enrolment, "ball_flight", phase, payload, by=by)


def page_of(client: Client, entry: Entry) -> str:
    answer = client.get(reverse("entry_detail", args=[entry.pk]))
    return " ".join(answer.content.decode().replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.mark.parametrize(
    ("units", "chosen"),
    [({}, ("yd", "mph")), ({"distances_in": "m", "speeds_in": "m/s"}, ("m", "m/s"))],
)
def test_the_form_starts_in_the_units_of_the_golfer(
    client: Client,
    session: Session,
    attendee: Enrolment,
    units: dict[str, str],
    chosen: tuple[str, str],
) -> None:
    if units:
        Golfer.objects.filter(pk=attendee.golfer_id).update(**units)
    page = client.get(reverse("entry_new", args=[session.pk, attendee.pk, "ball_flight"]))
    form = page.context["form"]
    assert (form["distance_unit"].value(), form["speed_unit"].value()) == chosen


def test_measures_chart_and_drawing_are_in_the_units_of_the_golfer(
    client: Client, attendee: Enrolment, instructor: Account
) -> None:
    hit(attendee, instructor, "7i", 127, "intake")
    page = page_of(client, hit(attendee, instructor, "7i", 136, "exit"))
    assert "carry (yd), intake 143" in page
    assert "Where the shots with the 7-iron landed, in yards: intake, 8 shots, median" in page


def test_one_side_alone_is_drawn_without_a_chart(
    client: Client, attendee: Enrolment, instructor: Account
) -> None:
    entry = hit(attendee, instructor, "7i", 127, "intake")
    context = client.get(reverse("entry_detail", args=[entry.pk])).context
    assert context["chart"] is None
    assert [side["phase"] for side in context["drawing"]["sides"]] == ["intake"]


def test_another_club_is_no_counterpart_and_stands_in_the_set(
    client: Client, attendee: Enrolment, instructor: Account
) -> None:
    hit(attendee, instructor, "8i", 133, "intake")
    entry = hit(attendee, instructor, "7i", 136, "exit")
    assert client.get(reverse("entry_detail", args=[entry.pk])).context["chart"] is None
    assert "8-iron and 7-iron lie 3 yd apart" in page_of(client, entry)


def test_a_form_of_thirty_shots_is_recorded(
    client: Client, session: Session, attendee: Enrolment
) -> None:
    address = reverse("entry_new", args=[session.pk, attendee.pk, "ball_flight"])
    typed = {f"carry_{number}": str(140 + number) for number in range(1, 31)}
    form = {"entry_id": str(uuid4()), "club": "7i", "distance_unit": "yd", "speed_unit": "mph"}
    page = client.post(address, form | typed, follow=True)
    assert len(Entry.objects.get().payload["shots"]) == 30
    assert "<summary>The 30 shots</summary>" in page.content.decode()


def test_without_a_club_nothing_is_recorded_and_nothing_typed_is_lost(
    client: Client, session: Session, attendee: Enrolment
) -> None:
    address = reverse("entry_new", args=[session.pk, attendee.pk, "ball_flight"])
    sent = {"entry_id": str(uuid4()), "distance_unit": "yd", "speed_unit": "mph", "carry_7": "150"}
    form = client.post(address, sent).context["form"]
    assert "club" in form.errors
    assert form["carry_7"].value() == "150"
    assert not Entry.objects.exists()
