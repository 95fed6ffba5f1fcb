"""What a process that answers pages does without."""

import os
import subprocess
import sys
from pathlib import Path

from django.conf import settings

EVERY_PAGE = "import django; django.setup(); import school.config.urls, sys; print(*sys.modules)"


def test_pages_are_answered_without_the_solver_and_the_press(tmp_path: Path) -> None:
    """Both take longer to load than any page to answer; who searches or prints loads them."""
    house = {"DJANGO_SETTINGS_MODULE": "school.config.settings", "MARRAM_VAR_DIR": str(tmp_path)}
    told = subprocess.run(
        [sys.executable, "-c", EVERY_PAGE],
        env=os.environ | house,
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = set(told.stdout.split())
    assert "lessons.planner.judging.worth" in loaded
    assert not loaded & {"ortools", "weasyprint"}
