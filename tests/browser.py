"""What every test in a real browser needs: how to start it, whom it helps, how to mark a still."""

import os
import shutil
from collections.abc import Mapping, Sequence
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import FloatRect, Page

CHROMIUM = ("chromium", "chromium-browser", "google-chrome")


def launch_args() -> dict[str, Any]:
    """Use the system's browser if there is one, else the one that Playwright brings.

    It must not look for updates, nor want a graphics card or a sandbox, which containers lack.
    """
    found = os.environ.get("MARRAM_CHROMIUM") or next(
        (path for name in CHROMIUM if (path := shutil.which(name))), None
    )
    return {
        **({"executable_path": found} if found else {}),
        "args": [
            "--no-sandbox",
            "--disable-gpu",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
        ],
    }


def assert_no_axe_violations(page: Page) -> None:
    """Hold the page, as it is now, to WCAG 2.2 AA and to axe's own good practice."""
    results = Axe().run(page, options={"resultTypes": ["violations"], "rules": TARGET_SIZE})
    assert results.violations_count == 0, results.generate_report()


def looked_at(page: Page) -> None:
    """Hold the page to `assert_no_axe_violations`, and to the width of its window."""
    assert_no_axe_violations(page)
    width = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert width <= 0, f"{page.url} scrolls sideways by {width} px"


TARGET_SIZE = {"target-size": {"enabled": True}}  # axe leaves this part of WCAG 2.2 off


def stage_box(page: Page) -> FloatRect:
    """Where the still lies in the window, once it is there and can be marked."""
    page.locator("[data-marking][data-ready] [data-stage][data-loaded]").wait_for()
    picture = page.locator("[data-picture]")
    picture.scroll_into_view_if_needed()
    box = picture.bounding_box()
    assert box is not None
    return box


def mark_by_mouse(page: Page, points: Mapping[str, Sequence[float]], size: tuple[int, int]) -> None:
    """Click the landmarks, {key: (u, v)} in pixels of a still of this size, where the page asks.

    The page asks for the needed ones first; those that are not among `points` are left out.
    """
    keys = page.locator("[data-landmark]").evaluate_all("rows => rows.map(r => r.dataset.landmark)")
    box = stage_box(page)
    for key in keys:
        if key not in points:
            page.get_by_role("button", name="Leave this one out").click()
            box = stage_box(page)
            continue
        u, v = points[key]
        page.mouse.click(
            box["x"] + u * box["width"] / size[0], box["y"] + v * box["height"] / size[1]
        )
