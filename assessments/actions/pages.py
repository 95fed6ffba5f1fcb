"""The frame of a job that makes a file: claim, make, and clear away what was left over."""

from __future__ import annotations

import errno
import logging
from collections.abc import Callable
from uuid import UUID

from assessments.models import Bundle, Preview, Report
from assessments.reports import files
from assessments.reports.errors import ReportStopped
from school.actions import jobs
from school.errors import PdfLibraryMissing

log = logging.getLogger(__name__)


def do_if_due(
    model: type[Report] | type[Preview] | type[Bundle],
    pk: int,
    shelf: files.Shelf,
    make: Callable[[int, UUID], bool],
) -> bool:
    """Do the job if it is due and free; True if this call published its file.

    `make` is given the row's key and the token of the claim. What goes wrong is written to the row.
    What only a person can put right stops the job at once; the rest is tried again a few times.
    """
    token = jobs.claim(model, pk)
    if token is None:
        return False
    try:
        return make(pk, token)
    except ReportStopped as stop:
        jobs.park(model, pk, token, reason=str(stop))
    except Exception as error:  # the worker must outlive any one job
        log.exception("%s %s could not be made", model.__name__, pk)
        jobs.record_failure(model, pk, token, reason=_reason(error))
    finally:
        _remove_strays(model, shelf)
    return False


def _remove_strays(model: type[Report] | type[Preview] | type[Bundle], shelf: files.Shelf) -> None:
    """Remove the files that neither their row names nor the holder of its lease wrote.

    They are of workers that died, failed or outlasted their lease, at this row or another, and of
    what newer ones took the place of. The files are listed before the rows are read: what
    is put in place meanwhile is left alone.
    """
    found = shelf.stored()
    # a row that was claimed once only has nobody else who could have left something
    rows = model.objects.filter(claims__gt=1).values_list("pk", "file", "token")
    kept = {pk: (file, token and shelf.name_of(pk, token)) for pk, file, token in rows}
    for name, pk in found.items():
        if pk in kept and name.removesuffix(".part") not in kept[pk]:
            files.remove(name)


def _reason(error: Exception) -> str:
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "The disk is full, so the file could not be written. Make room, then ask again."
    if isinstance(error, PdfLibraryMissing):
        return str(error)
    return (
        f"It could not be made ({type(error).__name__}). Ask for it again; "
        "if it stops again, the worker's log says more."
    )
