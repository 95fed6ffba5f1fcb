"""What the settings make of the environment, asked in a process of its own."""

import os
import stat
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def setting(name: str, tmp_path: Path, **environment: str) -> str:
    code = f"from school.config import settings; print(repr(settings.{name}))"
    return subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={**os.environ, "MARRAM_VAR_DIR": str(tmp_path / "var"), **environment},
        check=True,
        capture_output=True,
        text=True,
    ).stdout.strip()


def test_what_is_stored_is_for_the_owner_of_the_house_alone(tmp_path: Path) -> None:
    setting("VAR_DIR", tmp_path)
    assert stat.S_IMODE((tmp_path / "var").stat().st_mode) == 0o700


def test_an_https_address_turns_the_secure_settings_on(tmp_path: Path) -> None:
    earnest = {"MARRAM_SITE_URL": "https://school.example.org"}
    assert setting("SESSION_COOKIE_SECURE", tmp_path, **earnest) == "True"
    assert setting("ALLOWED_HOSTS", tmp_path, **earnest) == "['school.example.org']"
    assert setting("SECURE_HSTS_PRELOAD", tmp_path, **earnest) == "True"
    assert (
        setting("SECURE_HSTS_PRELOAD", tmp_path, MARRAM_HSTS_SUBDOMAINS="0", **earnest) == "False"
    )
