"""Doing again what lost a race."""

import logging
from collections.abc import Callable
from typing import TypeVar

from django.db import IntegrityError, transaction

from school.errors import TooMuchAtOnce

T = TypeVar("T")
TRIES = 5
logger = logging.getLogger(__name__)


def _constraint_of(error: IntegrityError) -> str:
    """The name of the constraint where the database gives it apart from its sentence."""
    diagnosis = getattr(error.__cause__, "diag", None)
    return getattr(diagnosis, "constraint_name", None) or type(error).__name__


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
    # The error's own text may quote the row, names and birth dates with it.
    logger.error("A constraint refused the same change %d times: %s", TRIES, _constraint_of(lost))
    raise TooMuchAtOnce(
        "Somebody else changed the same thing each time. Nothing was changed; try again."
    ) from lost
