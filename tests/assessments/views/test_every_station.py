"""Every station as an instructor fills it in on a phone: nothing is lost, doubled or changed."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import Entry
from assessments.stations import registry
from school.models import Account
from tests.assessments.factories import attendee_of, session_at

pytestmark = pytest.mark.django_db
TYPED: dict[str, dict[str, str]] = {
    "ball_flight": {
        "club": "7i",
        "distance_unit": "yd",
        "speed_unit": "mph",
        "carry_1": "141,5",
        "side_1": "−3,2",
        "ball_speed_1": "110,2",
        "carry_2": "150",
    },
    "bunker": {"bunker_1": "2,4", "bunker_2": "0", "stayed_in": "1"},
    "coach_paragraph": {"text": "More speed, and the same line as before. " * 4},
    "on_course": {
        "par_1": "4",
        "strokes_1": "5",
        "putts_1": "2",
        "fairway_1": "hit",
        "course_rating": "71,4",
        "slope": "128",
        "handicap_index": "−1,2",
        "record": "14,2 15,3 −1,0",
        "allowance": "stroke_play",
    },
    "physical": {
        "asked": "on",
        "handedness": "left",
        "age_years": "44",
        "toe_touch": "yes",
        "trunk_rotation_lead": "40,5",
        "ankle_dorsiflexion_lead": "−5",
    },
    "putting": {
        "holed_1": "9",
        "balls_1": "10",
        "balls_2": "10",
        "balls_3": "10",
        "gate_through": "8",
        "gate_balls": "10",
        "gate_width_mm": "60",
        "gate_distance_m": "0,5",
        "end_6_1": "0,4",
        "end_6_2": "−0,8",
        "start_1": "3",
        "putts_1": "212",
    },
    "short_game": {"chip_1": "1,2", "chip_2": "0", "tries": "8", "saved": "3"},
    "strike": {"club_class": "iron", "centre_middle": "4", "toe_low": "3"},
    "video_note": {"tag": "turn", "text": "Łukasz: “more turn” 🏌️"},
}
NUMBERS = {
    "ball_flight": ("shots.0.carry_m", 129.3876),
    "bunker": ("left_m.0", 2.4),
    "on_course": ("handicap_index", -1.2),
    "physical": ("found.ankle_dorsiflexion_lead", -5.0),
    "putting": ("control.0.ends_m.1", -0.8),
    "short_game": ("tasks.0.left_m.0", 1.2),
}


@pytest.fixture
def client(client: Client, instructor: Account) -> Client:
    client.force_login(instructor)
    return client


def address(instructor: Account, kind: str) -> str:
    session = session_at(instructor, kind)
    return reverse("entry_new", args=[session.pk, attendee_of(session).pk, kind])


def test_every_station_with_a_form_is_tried() -> None:
    assert set(TYPED) == {kind for kind, one in registry().items() if not one.needs_still}


@pytest.mark.parametrize("kind", TYPED)
def test_it_is_recorded_once_and_a_correction_starts_from_the_same(
    client: Client, instructor: Account, kind: str
) -> None:
    at, typed = address(instructor, kind), TYPED[kind] | {"entry_id": str(uuid4())}
    assert [client.post(at, typed).status_code for _ in range(2)] == [302, 302]
    entry = Entry.objects.get()
    form = client.get(at, {"correct": str(entry.pk)}).context["form"]
    values = {name: form[name].value() for name in form.fields}
    again = {n: value for n, value in values.items() if value is not None and value is not False}
    assert client.post(at, again).status_code == 302
    assert Entry.objects.get(supersedes=entry).payload == entry.payload


@pytest.mark.parametrize("kind", NUMBERS)
def test_a_decimal_comma_and_a_printed_minus_are_numbers(
    client: Client, instructor: Account, kind: str
) -> None:
    client.post(address(instructor, kind), TYPED[kind] | {"entry_id": str(uuid4())})
    place, number = NUMBERS[kind]
    found = Entry.objects.get().payload
    for key in place.split("."):
        found = found[int(key)] if isinstance(found, list) else found[key]
    assert found == pytest.approx(number)


@pytest.mark.parametrize("kind", NUMBERS)
def test_what_cannot_be_read_stays_in_its_field(
    client: Client, instructor: Account, kind: str
) -> None:
    typed = {name: f"{text}x" if "," in text else text for name, text in TYPED[kind].items()}
    answer = client.post(address(instructor, kind), typed | {"entry_id": str(uuid4())})
    assert answer.status_code == 200
    assert not Entry.objects.exists()
    wrong = [text for text in typed.values() if text.endswith("x")]
    assert all(f'value="{text}"' in answer.text for text in wrong)
