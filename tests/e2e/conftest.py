"""A real browser on a real server, with the worker's tasks done in place."""

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from pytest_django.fixtures import Settings
from pytest_django.live_server_helper import LiveServer

from tests.browser import launch_args

# Playwright keeps an event loop on the test's thread; the rows are made there all the same.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

NewPage = Callable[[], Page]


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    return launch_args()


@pytest.fixture(params=[(390, 844), (1280, 900)], ids=["390 px", "1280 px"])
def new_page(
    request: pytest.FixtureRequest,
    browser: Browser,
    live_server: LiveServer,
    settings: Settings,
    work_in_place: None,
) -> Iterator[NewPage]:
    """Make a page with a sign-in of its own, as on a device of its own."""
    settings.SITE_URL = live_server.url
    width, height = request.param
    contexts = []

    def make() -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height}, base_url=live_server.url
        )
        context.set_default_timeout(20_000)
        contexts.append(context)
        return context.new_page()

    yield make
    for context in contexts:
        context.close()
