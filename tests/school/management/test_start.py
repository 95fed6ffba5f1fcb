from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from assessments.models import Drill
from lessons.models import Station
from school.models import ConsentText, Programme, Staff


def start(tmp_path: Path, password: str = "grass-on-the-dunes") -> None:
    file = tmp_path / "password"
    file.write_text(password + "\n")
    call_command(
        "start",
        "--email=o@example.org",
        "--name=Ona Owner",
        f"--password-from={file}",
        stdout=StringIO(),
    )


@pytest.mark.django_db(transaction=True)
def test_start_makes_the_owner_and_loads_the_tables(tmp_path: Path) -> None:
    start(tmp_path)
    owner = Staff.objects.get()
    assert owner.owns
    assert owner.account.check_password("grass-on-the-dunes")
    assert Programme.objects.get().visits.count() == 15
    assert {row.kind for row in ConsentText.objects.all()} >= {"terms", "risk", "filming"}
    assert Station.objects.get(slug="impact").needs.count() == 2
    assert Drill.objects.filter(rules__kind="putting").exists()


@pytest.mark.django_db(transaction=True)
def test_start_refuses_a_second_owner(tmp_path: Path) -> None:
    start(tmp_path)
    with pytest.raises(CommandError, match="has an owner"):
        start(tmp_path)


@pytest.mark.django_db(transaction=True)
def test_start_refuses_a_weak_password(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="too short"):
        start(tmp_path, "dune")
    assert not Staff.objects.exists()
