"""Twenty workers are killed over two dozen reports, and each golfer has exactly one."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.conf import settings

GOLFERS, KILLS = 24, 20


@pytest.fixture
def environment(tmp_path: Path) -> Iterator[dict[str, str]]:
    """A house of its own: beside the tests' database and broker, of the same kinds."""
    own = {"MARRAM_VAR_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "school.config.settings"}
    own["MARRAM_BROKER_URL"] = os.environ.get("MARRAM_BROKER_URL", "filesystem://")
    if own["MARRAM_BROKER_URL"].startswith("redis:"):
        own["MARRAM_BROKER_URL"] = _at(own["MARRAM_BROKER_URL"], "/9")
    server = os.environ.get("DATABASE_URL", "")
    if not server.startswith("postgres"):
        yield {**os.environ, **own, "DATABASE_URL": f"sqlite:///{tmp_path / 'house.sqlite3'}"}
        return
    name = f"marram_killed_{os.getpid()}"
    _ask(server, f"CREATE DATABASE {name}")
    yield {**os.environ, **own, "DATABASE_URL": _at(server, f"/{name}")}
    _ask(server, f"DROP DATABASE {name} WITH (FORCE)")


def _at(url: str, path: str) -> str:
    return urlunsplit(urlsplit(url)._replace(path=path))


def _ask(server: str, statement: str) -> None:
    import psycopg

    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(statement)


def test_every_golfer_has_exactly_one_report_after_twenty_kills(
    environment: dict[str, str],
) -> None:
    loop = [sys.executable, "-m", "tests.assessments.reports.kill_loop", str(GOLFERS), str(KILLS)]
    told = subprocess.run(
        loop, cwd=settings.BASE_DIR, env=environment, check=True, stdout=subprocess.PIPE
    )
    found = json.loads(told.stdout)
    assert found["states"] == ["done"]
    assert found["current"] == GOLFERS
    assert found["stored"] == found["named"]
    assert len(set(found["named"])) == GOLFERS
    assert found["claims"] > GOLFERS
    assert found["told"] == found["mails"] == GOLFERS
