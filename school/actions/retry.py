"""Doing again what lost a race."""

import logging
from collections.abc import Callable
from typing import TypeVar

from django.db import IntegrityError, transaction

from school.errors import TooMuchAtOnce

T = TypeVar("T")
TRIES = 5
logger = logging.getLogger(__name__)


def in_a_fresh_transaction(body: Callable[[], T]) -> T:
    """Run `body` in a transaction of its own, again if a constraint says that it came too late.

    The constraints keep the promises; this only gives the loser of a race another turn. `body`
    must read all it needs anew, since the world has changed between two tries.

    Raises TooMuchAtOnce after five lost races.
    """
    for _ in range(TRIES):
        try:
            with transaction.atomic(durable=True):
                return body()
        except IntegrityError as error:
            lost = error
    logger.error("A constraint refused the same change %d times.", TRIES, exc_info=lost)
    raise TooMuchAtOnce(
        "Somebody else changed the same thing each time. Nothing was changed; try again."
    ) from lost
