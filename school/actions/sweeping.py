"""What is to be done every few seconds, whoever asks."""

import logging
from collections.abc import Callable

from django.db import OperationalError

from school.actions.drafts import clear_old_drafts
from school.actions.jobs import sweep
from school.actions.offers import expire_offers
from school.actions.reminders import remind

logger = logging.getLogger(__name__)

# Each does what is due now, quickly, and says how much that was.
DUTIES: list[Callable[[], int]] = [sweep, expire_offers, clear_old_drafts, remind]


def do_duties() -> dict[str, int]:
    """Do each duty once; how much each did, by its name. One that fails does not stop the rest.

    Raises OperationalError if the database does not answer, which ends the round.
    """
    done = {}
    for duty in DUTIES:
        try:
            done[duty.__name__] = duty()
        except OperationalError:
            raise
        except Exception:
            logger.exception("The duty %s failed.", duty.__name__)
    return done
