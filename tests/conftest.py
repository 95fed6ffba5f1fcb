"""The fixed cast: one account for every kind of person the house knows, and a stranger."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from celery import Celery
from django.test import Client
from hypothesis import settings as hypothesis
from pytest_django.fixtures import Settings

from school.models import Account
from tests.factories import AccountFactory, GolferFactory, StaffFactory

# One example may take as long as a busy machine makes it: first calls warm caches, solvers search.
hypothesis.register_profile("house", deadline=None)
hypothesis.load_profile("house")


@pytest.fixture(autouse=True)
def _own_house(settings: Settings, tmp_path: Path) -> None:
    """Keep each test's files to itself, and passwords cheap."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path / "files", "base_url": None},
        },
    }


@pytest.fixture(autouse=True)
def messages(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, Any]]:
    """What was sent to the worker, as (task, first argument); no broker is touched."""
    sent: list[tuple[str, Any]] = []

    def keep(app: Celery, name: str, args: Any = (), **options: Any) -> None:
        sent.append((name, args[0]))

    monkeypatch.setattr(Celery, "send_task", keep)
    return sent


@pytest.fixture
def work_in_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """Do what is sent to the worker at once, in the process that sent it."""
    from celery import current_app

    current_app.loader.import_default_modules()

    def work(app: Celery, name: str, args: Any = (), **options: Any) -> None:
        app.tasks[name](*args)

    monkeypatch.setattr(Celery, "send_task", work)


@pytest.fixture
def owner(db: None) -> Account:
    return StaffFactory.create(owns=True, account__full_name="Ottilie Owner").account


@pytest.fixture
def front_desk(db: None) -> Account:
    return StaffFactory.create(at_front_desk=True, account__full_name="Dana Desk").account


@pytest.fixture
def instructor(db: None) -> Account:
    return StaffFactory.create(teaches=True, account__full_name="Ines Instructor").account


@pytest.fixture
def other_instructor(db: None) -> Account:
    return StaffFactory.create(teaches=True, account__full_name="Oren Other").account


@pytest.fixture
def golfer(db: None) -> Account:
    account: Account = GolferFactory.create(full_name="Gail Golfer", with_account=True).account
    return account


@pytest.fixture
def other_golfer(db: None) -> Account:
    account: Account = GolferFactory.create(full_name="Otto Golfer", with_account=True).account
    return account


@pytest.fixture
def stranger(db: None) -> Account:
    """Somebody who can sign in and is nothing here."""
    return AccountFactory.create(full_name="Sam Stranger")


@pytest.fixture
def client_of() -> Callable[[Account | None], Client]:
    """A browser signed in as the account; for None, signed out."""

    def make(account: Account | None) -> Client:
        client = Client()
        if account is not None:
            client.force_login(account)
        return client

    return make
