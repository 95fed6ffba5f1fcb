"""A real still in a real browser, on the marking page."""

import os
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pytest
from playwright.sync_api import Page
from pytest_django.fixtures import Settings
from pytest_django.live_server_helper import LiveServer

from tests.assessments.marking import harness
from tests.assessments.marking.harness import Desk
from tests.browser import launch_args, stage_box

# Playwright keeps an event loop on the test's thread; the rows are made there all the same.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

Place = tuple[float, float]
Open = Callable[..., Page]


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    return launch_args()


@pytest.fixture
def desk(settings: Settings) -> Desk:
    settings.ROOT_URLCONF = harness.__name__
    harness.desk = Desk()
    return harness.desk


@pytest.fixture
def opened(page: Page, live_server: LiveServer, desk: Desk) -> Page:
    page.goto(f"{live_server.url}/mark/")
    stage_box(page)
    return page


def place_of(page: Page, point: Sequence[float], size: tuple[int, int]) -> Place:
    """Where in the window a point of the still lies while the whole still is shown."""
    box = stage_box(page)
    return (
        box["x"] + point[0] * box["width"] / size[0],
        box["y"] + point[1] * box["height"] / size[1],
    )


def shown(page: Page) -> dict[str, list[float]]:
    """The landmarks in the list of the page."""
    marks: dict[str, list[float]] = page.locator("[data-landmark][data-placed]").evaluate_all(
        "rows => Object.fromEntries(rows.map(row => [row.dataset.landmark,"
        " [...row.querySelectorAll('input')].map(input => input.valueAsNumber)]))"
    )
    return marks


def save(page: Page) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name="Save the marks").click()


def assert_near(
    marks: Mapping[str, Sequence[float]], meant: Mapping[str, Sequence[float]], within: float
) -> None:
    assert marks.keys() == meant.keys()
    for key, point in meant.items():
        assert marks[key] == pytest.approx(point, abs=within), key
