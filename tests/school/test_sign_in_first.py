"""Where somebody lands after signing in again."""

import pytest
from django.test import Client


@pytest.mark.django_db
def test_a_page_is_come_back_to(client: Client) -> None:
    assert client.get("/schools/7/").headers["Location"] == "/sign-in/?next=/schools/7/"


@pytest.mark.django_db
def test_a_button_leads_back_to_the_page_it_stood_on(client: Client) -> None:
    answer = client.post("/schools/7/open/", headers={"Referer": "http://testserver/schools/7/"})
    assert answer.headers["Location"] == "/sign-in/?next=/schools/7/"


@pytest.mark.django_db
@pytest.mark.parametrize("referer", ["", "https://elsewhere.example/schools/7/", "not an address"])
def test_a_button_pressed_from_elsewhere_leads_home(client: Client, referer: str) -> None:
    answer = client.post("/schools/7/open/", headers={"Referer": referer})
    assert answer.headers["Location"] == "/sign-in/?next=/"
