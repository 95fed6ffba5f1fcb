"""The pages of filming places, from the list to a change."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from assessments.models import FilmingPlace
from assessments.queries.filming import place_lines
from school.models import Account, AuditEntry
from tests.assessments.factories import (
    EntryFactory,
    FilmingPlaceFactory,
    StillFactory,
    marking,
    place_settings,
)

pytestmark = pytest.mark.django_db
ClientOf = Callable[[Account | None], Client]
RECTANGLE = {
    "camera_distance_mm": "4000",
    "rectangle_long_mm": "1200",
    "rectangle_wide_mm": "450",
    "rectangle_behind_mm": "-100",
}


@pytest.fixture
def client(instructor: Account, client_of: ClientOf) -> Client:
    return client_of(instructor)


def sent(client: Client, place: FilmingPlace | None = None, /, **settings: Any) -> str:
    address = reverse("filming_place", args=[place.pk]) if place else reverse("filming_place_new")
    answer = client.post(address, place_settings(**settings), follow=True)
    return answer.content.decode()


def test_an_empty_list_leads_to_the_first_place(client: Client) -> None:
    page = client.get(reverse("filming_places")).content.decode()
    assert reverse("filming_place_new") in page


def test_a_place_is_set_up_and_stands_in_the_list(client: Client, instructor: Account) -> None:
    page = sent(client, None, is_camera_level="on", **RECTANGLE)
    place = FilmingPlace.objects.get()
    assert (place.name, place.joints, place.step_mm) == ("Range", "marked", 25.4)
    assert place.rectangle_behind_mm == -100
    assert "levelled, ground rectangle known" in page
    assert AuditEntry.objects.get(verb="add_place").actor == instructor


def test_a_change_names_what_was_before(client: Client) -> None:
    place = FilmingPlaceFactory.create(name="Range", joints="marked")
    page = sent(client, place)
    place.refresh_from_db()
    assert place.step_mm == 25.4
    assert "stays as it was recorded" in page
    assert AuditEntry.objects.get(verb="change_place").detail == {
        "fields": ["step_mm"],
        "was": {"step_mm": 42.67},
    }


def test_sending_the_same_once_more_changes_nothing(client: Client) -> None:
    place = FilmingPlaceFactory.create(name="Range", joints="marked", step_mm=25.4)
    sent(client, place)
    assert not AuditEntry.objects.filter(verb="change_place").exists()


def test_a_change_leaves_what_is_recorded(client: Client) -> None:
    place = FilmingPlaceFactory.create()
    still = StillFactory.create(filming_place=place)
    entry = EntryFactory.create(kind="impact", still=still, payload=marking() | {"step_mm": 42.67})
    sent(client, place)
    entry.refresh_from_db()
    assert entry.payload["step_mm"] == 42.67


@pytest.mark.parametrize("missing", RECTANGLE)
def test_a_rectangle_is_whole_or_not_there(missing: str, client: Client) -> None:
    page = sent(client, None, **(RECTANGLE | {missing: ""}))
    assert "The rectangle serves only with this as well." in page
    assert 'value="1200"' in page or missing == "rectangle_long_mm"
    assert not FilmingPlace.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"camera_distance_mm": "4"}, "it is in millimetres"),
        ({"click_sd_px": "0"}, "greater than or equal to 0.1"),
        ({"step_mm": "nan"}, "Enter a number"),
        ({"frames_a_second": "12"}, "greater than or equal to 24"),
        ({"joints": "hidden"}, "not one of the available choices"),
        ({"name": ""}, "This field is required"),
    ],
)
def test_what_cannot_be_right_is_said(wrong: dict[str, str], words: str, client: Client) -> None:
    assert words in sent(client, None, **wrong)
    assert not FilmingPlace.objects.exists()


def test_a_name_that_is_taken_is_said_and_the_title_stays(client: Client) -> None:
    FilmingPlaceFactory.create(name="Range")
    place = FilmingPlaceFactory.create(name="Studio")
    page = sent(client, place)
    assert "already exists" in page
    assert "<title>Studio" in page


def test_the_page_says_what_is_assumed_or_measured(client: Client) -> None:
    place = FilmingPlaceFactory.create(joints="unmarked")
    address = reverse("filming_place", args=[place.pk])
    assert "lies 12 and 8 mm beside the joint" in client.get(address).content.decode()
    place.studies.create(
        name="Spring", is_in_force=True, closed_at="2027-05-07T12:00Z", result={"mark": {}}
    )
    assert "Spring</a>, closed on 7 May 2027" in client.get(address).content.decode()


def test_twice_as_many_places_cost_no_more_queries(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    for _ in range(2):
        StillFactory.create_batch(2, filming_place=FilmingPlaceFactory.create())
        with django_assert_num_queries(3):
            lines = place_lines()
    assert [line.stills for line in lines] == [2, 2]
