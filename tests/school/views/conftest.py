from collections.abc import Callable

import pytest
from django.test import Client

from school.models import Account


@pytest.fixture
def desk(front_desk: Account, client_of: Callable[[Account | None], Client]) -> Client:
    return client_of(front_desk)
