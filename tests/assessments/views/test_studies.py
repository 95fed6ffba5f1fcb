"""The pages of studies: who opens them, what they show, and what never."""

import csv
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from assessments.models import FilmingPlace, Study
from school.models import Account
from tests.assessments.factories import FilmingPlaceFactory
from tests.assessments.study_scene import mark, stills_at, wobbling

pytestmark = pytest.mark.django_db


@pytest.fixture
def place(instructor: Account) -> FilmingPlace:
    made: FilmingPlace = FilmingPlaceFactory.create(name="North bay")
    stills_at(made, instructor, 8)
    return made


@pytest.fixture
def client(client_of: Callable[[Account], Client], instructor: Account) -> Client:
    return client_of(instructor)


def wanted(place: FilmingPlace) -> dict[str, Any]:
    return {"place": place.pk, "name": "Spring", "stills": 20, "markings_wanted": 3}


@pytest.fixture
def study(client: Client, place: FilmingPlace) -> Study:
    client.post(reverse("studies"), wanted(place))
    return Study.objects.get()


def text_of(answer: Any) -> str:
    return str(answer.content.decode())


def at(name: str, study: Study, *more: str) -> str:
    return reverse(name, args=[study.pk, *more])


def test_the_form_says_how_many_stills_may_be_drawn(client: Client, place: FilmingPlace) -> None:
    assert "North bay: 8 stills to draw from" in text_of(client.get(reverse("studies")))


def test_without_a_place_the_page_leads_to_one(client: Client) -> None:
    assert reverse("filming_place_new") in text_of(client.get(reverse("studies")))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"place": ""}, "This field is required"),
        ({"stills": 7}, "greater than or equal to 8"),
        ({"markings_wanted": 1}, "greater than or equal to 2"),
    ],
)
def test_what_cannot_be_is_said_and_kept(
    client: Client, place: FilmingPlace, changes: dict[str, Any], words: str
) -> None:
    answer = client.post(reverse("studies"), wanted(place) | {"name": "Keep me"} | changes)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert "Keep me" in text_of(answer)


def test_too_few_stills_are_refused_in_words(client: Client) -> None:
    answer = client.post(reverse("studies"), wanted(FilmingPlaceFactory.create()))
    assert "A study needs at least 8 stills. Here are 0" in text_of(answer)


def test_the_next_still_is_marked_unseen(client: Client, study: Study) -> None:
    first = study.stills.get(order=1).still_id
    answer = client.get(at("study_next", study))
    assert answer.headers["Location"] == reverse(
        "still_mark", args=[first], query={"again": 1, "study": study.pk, "turn": 1}
    )
    page = client.get(answer.headers["Location"])
    assert page.context["marking"]["current"] is page.context["marking"]["start"] is None


def test_nothing_left_is_said(client: Client, study: Study, instructor: Account) -> None:
    for turn in (1, 2, 3):
        mark(study, turn, instructor, wobbling)
    assert "Nothing is left for you to mark" in text_of(
        client.get(at("study_next", study), follow=True)
    )


def test_the_desk_sees_how_far_it_is_and_marks_nothing(
    client_of: Callable[[Account], Client], front_desk: Account, study: Study
) -> None:
    page = text_of(client_of(front_desk).get(at("study", study)))
    assert "0 of 8" in page
    assert "Begin turn" not in page


def test_no_page_of_a_study_names_a_golfer(
    client: Client, study: Study, instructor: Account
) -> None:
    for turn in (1, 2):
        mark(study, turn, instructor, wobbling)
    under_way = text_of(client.get(at("study", study)))
    client.post(at("study_close", study))
    shown = [under_way, text_of(client.get(at("study", study)))]
    names = [one.still.enrolment.golfer.full_name for one in study.stills.all()]
    assert not any(name in page for page in shown for name in names)


def test_too_little_is_not_closed(client: Client, study: Study) -> None:
    page = text_of(client.post(at("study_close", study), follow=True))
    assert "24 markings are missing" in page
    assert Study.objects.get().closed_at is None


def test_a_study_is_given_up(client: Client, study: Study) -> None:
    page = client.post(at("study_close", study), {"give_up": "1"}, follow=True)
    assert "Closed without a result" in text_of(page)


@pytest.fixture
def closed(client: Client, study: Study, instructor: Account) -> Study:
    for turn in (1, 2, 3):
        mark(study, turn, instructor, wobbling)
    client.post(at("study_close", study))
    return Study.objects.get()


def test_a_closed_study_shows_every_measure(client: Client, closed: Study) -> None:
    answer = client.get(at("study", closed))
    assert len(answer.context["rows"]) == 7
    assert "Judge by the SEM" in text_of(answer)


def test_what_was_found_is_put_in_force_and_taken_out(client: Client, closed: Study) -> None:
    page = client.post(at("study_force", closed), follow=True)
    assert "found counts from now on at North bay" in text_of(page)
    assert "In force at North bay" in text_of(page)
    page = client.post(at("study_force", closed), {"end": "1"}, follow=True)
    assert "no longer counts" in text_of(page)
    assert not Study.objects.get().is_in_force


def test_what_has_no_result_is_not_put_in_force(client: Client, study: Study) -> None:
    page = client.post(at("study_force", study), follow=True)
    assert "has no result that could count" in text_of(page)


@pytest.mark.parametrize(("table", "rows"), [("results", 7), ("markings", 24)])
def test_a_closed_study_is_taken_away_as_a_file(
    client: Client, closed: Study, table: str, rows: int
) -> None:
    answer = client.get(at("study_table", closed, table))
    assert answer.headers["Content-Disposition"] == f'attachment; filename="spring-{table}.csv"'
    assert len(list(csv.reader(text_of(answer).splitlines()))) == rows + 1


def test_nobody_sees_the_markings_of_a_study_under_way(client: Client, study: Study) -> None:
    assert client.get(at("study_table", study, "markings")).status_code == 404


def test_there_is_no_other_table(client: Client, closed: Study) -> None:
    assert client.get(at("study_table", closed, "names")).status_code == 404
