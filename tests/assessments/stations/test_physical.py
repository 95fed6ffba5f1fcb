import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from assessments.errors import EntryRefused
from assessments.models import Entry
from assessments.stations.base import Computed, Context, MeasureValue
from assessments.stations.physical import MEASURES, STATION, WARNING_WORDS
from assessments.stations.physical_form import PhysicalForm
from assessments.stations.physical_items import PARTS, SEEN, side_of_body, usual_balance_s
from school.models import Account
from tests.assessments.factories import attendee_of, session_at

ENTRY_ID = "3f0f2b1a-0000-4000-8000-000000000001"
DIAGNOSES = r"arthr|torn|tear|injured|impinge|strain|sprain|disease|syndrome|weak|abnormal|patholog"


def screen(found: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    parts = {"trunk_rotation_lead": 48.0, "trunk_rotation_trail": 52.0} if found is None else found
    return {"asked": True, "handedness": "right", "found": parts} | more


def computed(payload: dict[str, Any]) -> Computed:
    return STATION.compute(payload, Context())


def measured(payload: dict[str, Any]) -> dict[str, MeasureValue]:
    return {value.name: value for value in computed(payload).measures}


def refusal(payload: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(EntryRefused) as refused:
        computed(payload)
    return refused.value.words


def legs(lead: float, trail: float, **more: Any) -> dict[str, Any]:
    return screen({"one_leg_balance_lead": lead, "one_leg_balance_trail": trail}, **more)


def test_an_angle_is_worth_what_a_goniometer_is_assumed_to_be() -> None:
    turn = measured(screen())["trunk_rotation_lead_deg"]
    assert (turn.low, turn.high) == pytest.approx((48 - 7.84, 48 + 7.84), abs=0.01)
    assert "assumed" in turn.source


def test_the_primary_measure_is_the_shorter_leg() -> None:
    found = measured(legs(22, 14))
    assert (found["one_leg_balance_s"].value, found["one_leg_balance_lead_s"].value) == (14, 22)


def test_one_leg_alone_is_not_the_shorter() -> None:
    assert "one_leg_balance_s" not in measured(screen({"one_leg_balance_lead": 14}))


def test_nobody_knows_how_much_longer_than_the_cap() -> None:
    held = measured(legs(30, 30))["one_leg_balance_s"]
    assert (held.value, held.standard_uncertainty, held.high) == (30, None, None)
    assert "30 s" in held.source


def test_a_time_of_none_is_not_certain() -> None:
    fell = measured(legs(0, 30))["one_leg_balance_s"]
    assert fell.low == 0
    assert fell.high is not None
    assert fell.high > 0


def test_pain_stops_the_test_and_says_where_to_go() -> None:
    found = computed(screen({"trunk_rotation_lead": 48, "trunk_rotation_trail": "pain"}))
    assert [value.name for value in found.measures] == ["trunk_rotation_lead_deg"]
    assert found.warnings == ("pain_trunk_rotation_trail",)
    words = WARNING_WORDS[found.warnings[0]]
    assert words == (
        "Pain at seated trunk rotation, trail side. Stop here. See a licensed professional."
    )


KEYS = [part.key for part in PARTS]


@given(st.integers(0, len(KEYS) - 1), st.sets(st.sampled_from(KEYS)))
def test_nothing_may_stand_after_pain(at: int, others: set[str]) -> None:
    values = {part.key: True if part.item.unit == SEEN else 20 for part in PARTS}
    found = {key: values[key] for key in others} | {KEYS[at]: "pain"}
    after = {key for key in others if KEYS.index(key) > at}
    if not after:
        assert f"pain_{KEYS[at]}" in computed(screen(found)).warnings
        return
    words = refusal(screen(found))
    assert set(words) == {f"found.{key}" for key in after}
    assert all("Stop here. See a licensed professional." in each for each in words.values())


def test_less_than_usual_is_flagged_for_a_professional() -> None:
    """AAOS: about 45 degrees of hip rotation; two thirds are 30."""
    at, below = ({"hip_internal_rotation_lead": value} for value in (30, 29))
    assert computed(screen(at)).warnings == ()
    assert computed(screen(below)).warnings == ("low_hip_internal_rotation_lead",)


def test_sides_are_flagged_only_past_what_two_readings_explain() -> None:
    """1.96 x 4 x root 2 is 11.1 degrees."""
    even, uneven = (
        {"trunk_rotation_lead": 60, "trunk_rotation_trail": trail} for trail in (49, 48)
    )
    assert computed(screen(even)).warnings == ()
    assert computed(screen(uneven)).warnings == ("sides_trunk_rotation",)


def test_a_time_of_nothing_is_read_no_better_than_to_the_second() -> None:
    """1.96 x root 2 / root 12 is 0.8 s, however short the times."""
    legs = {"one_leg_balance_lead": 0.0, "one_leg_balance_trail": 0.7}
    assert not [code for code in computed(screen(legs)).warnings if code.startswith("sides_")]


@pytest.mark.parametrize(
    ("age", "flagged"), [(30, True), (55, True), (65, False), (75, False), (17, False)]
)
def test_standing_on_one_leg_is_compared_within_an_age(age: int, *, flagged: bool) -> None:
    found = computed(legs(15, 15, age_years=age)).warnings
    assert ("low_one_leg_balance_lead" in found) is flagged


def test_without_an_age_no_time_is_called_short() -> None:
    assert usual_balance_s(None) is None
    assert computed(legs(5, 5)).warnings == ()


def test_every_warning_sends_to_a_professional_and_names_no_diagnosis() -> None:
    for words in WARNING_WORDS.values():
        assert "ee a licensed professional" in words
        assert not re.search(DIAGNOSES, words.lower())


def test_no_measure_has_a_better_side_or_a_verdict() -> None:
    assert {measure.better for measure in MEASURES} == {"none"}
    assert STATION.verdicts is None
    assert all(typical.source for measure in MEASURES for typical in measure.typical)


def test_lead_is_left_for_who_plays_right_handed() -> None:
    assert [side_of_body(side, "right") for side in ("lead", "trail")] == ["left", "right"]
    assert [side_of_body(side, "left") for side in ("lead", "trail")] == ["right", "left"]


@pytest.mark.parametrize(
    ("payload", "place"),
    [
        (screen(asked=False), "asked"),
        (screen(handedness="both"), "handedness"),
        (screen(age_years=200), "age_years"),
        (screen({}), "found"),
        (screen() | {"found": [48]}, "found"),
        (screen({"grip": 3}), "found"),
        (screen({"trunk_rotation_lead": 101}), "found.trunk_rotation_lead"),
        (screen({"trunk_rotation_lead": True}), "found.trunk_rotation_lead"),
        (screen({"one_leg_balance_lead": 31}), "found.one_leg_balance_lead"),
        (screen({"toe_touch": 1}), "found.toe_touch"),
        (screen({"toe_touch": "perhaps"}), "found.toe_touch"),
    ],
)
def test_what_cannot_be_right_is_refused_in_words(payload: dict[str, Any], place: str) -> None:
    words = refusal(payload)
    assert set(words) == {place}
    assert words[place].endswith(".")


def test_the_details_name_sides_of_the_body_too() -> None:
    assert STATION.details
    told = STATION.details(screen({"trunk_rotation_lead": 48, "toe_touch": False}, age_years=40))
    assert told["rows"][0]["body"] == " (left)"
    assert [row["found"] for row in told["rows"]] == ["48°", "no"]
    assert not told["stopped"]
    assert len(told["sources"]) == 1


def typed(**more: str) -> dict[str, str]:
    return {"entry_id": ENTRY_ID, "handedness": "left", "asked": "on"} | more


def test_what_is_typed_becomes_a_payload_and_comes_back() -> None:
    sent = typed(
        trunk_rotation_lead="48", ankle_dorsiflexion_lead="-3", pain_one_leg_balance_lead="on"
    )
    form = PhysicalForm(sent | {"age_years": "61"})
    assert form.is_valid(), form.errors
    payload = form.payload()
    assert payload["found"] == {
        "trunk_rotation_lead": 48.0,
        "ankle_dorsiflexion_lead": -3.0,
        "one_leg_balance_lead": "pain",
    }
    again = PhysicalForm.initial_from(payload)
    same = PhysicalForm(typed(**{key: str(value) for key, value in again.items()}))
    assert same.is_valid(), same.errors
    assert same.payload() == payload


@pytest.mark.parametrize(("answer", "found"), [("yes", True), ("no", False), ("pain", "pain")])
def test_what_is_seen_is_a_yes_a_no_or_pain(answer: str, *, found: bool | str) -> None:
    form = PhysicalForm(typed(toe_touch=answer))
    assert form.is_valid(), form.errors
    assert form.payload()["found"] == {"toe_touch": found}
    assert PhysicalForm.initial_from(form.payload())["toe_touch"] == answer


def test_a_value_and_pain_at_once_is_asked_back() -> None:
    form = PhysicalForm(typed(trunk_rotation_lead="48", pain_trunk_rotation_lead="on"))
    assert "take pain away" in form.errors["trunk_rotation_lead"][0]


@pytest.mark.django_db
def test_the_form_knows_how_the_golfer_plays_and_the_age(
    client_of: Callable[[Account | None], Client], instructor: Account
) -> None:
    born = timezone.localdate() - timedelta(days=65 * 365 + 60)
    session = session_at(instructor, "physical")
    attendee = attendee_of(session)
    attendee.golfer.handedness, attendee.golfer.birth_date = "left", born
    attendee.golfer.save(update_fields=["handedness", "birth_date"])
    page = client_of(instructor).get(
        reverse("entry_new", args=[session.pk, attendee.pk, "physical"])
    )
    assert page.context["form"]["age_years"].value() == 65
    assert "Lead side (right), degrees" in page.content.decode()


@pytest.mark.django_db
def test_pain_is_recorded_and_the_page_says_stop(
    client_of: Callable[[Account | None], Client], instructor: Account
) -> None:
    session = session_at(instructor, "physical")
    address = reverse("entry_new", args=[session.pk, attendee_of(session).pk, "physical"])
    sent = typed(pain_trunk_rotation_lead="on")
    answer = client_of(instructor).post(address, sent, follow=True)
    assert "Stop here. See a licensed professional." in answer.content.decode()
    assert Entry.objects.get().warnings == ["pain_trunk_rotation_lead"]
