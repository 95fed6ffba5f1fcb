"""Claiming, finishing and sweeping jobs.

1. A worker claims a row by one conditional UPDATE that writes a fresh token and a lease.
2. It does the work, which may take any time and may die.
3. It publishes by one conditional UPDATE on the row's key and its own token. Whoever lost the
   lease meanwhile changes nothing and knows it.
4. The sweeper sends again what is due and unclaimed, or whose lease has lapsed.

Broker messages only wake a worker: losing or doubling one is harmless.
"""

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from celery import current_app
from django.apps import apps
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from school.models import LeasedJob

# How long a due row may wait before the sweeper believes that its message was lost.
PATIENCE = timedelta(seconds=15)


def wake_on_commit(job: LeasedJob) -> None:
    """Send the worker a message once the surrounding transaction has committed.

    If it cannot be sent, what was asked stands all the same: the sweeper sends it later.
    """
    pk, task = job.pk, job.TASK
    transaction.on_commit(lambda: _send(task, pk), robust=True)


def _send(task: str, pk: int) -> None:
    current_app.send_task(task, args=[pk])


def claim(model: type[LeasedJob], pk: int) -> UUID | None:
    """Take the job if it is due and nobody holds it; None if somebody does or it is finished."""
    now = timezone.now()
    token = uuid4()
    taken = (
        _rows(model)
        .filter(_claimable(now), pk=pk)
        .update(
            state=LeasedJob.State.RUNNING,
            token=token,
            lease_until=now + model.LEASE,
            claims=F("claims") + 1,
            reason="",
        )
    )
    return token if taken else None


def publish(model: type[LeasedJob], pk: int, token: UUID, **columns: Any) -> bool:
    """Mark the job done and write its result; False if the lease was lost to somebody else."""
    return _release(model, pk, token, state=LeasedJob.State.DONE, **columns)


def park(model: type[LeasedJob], pk: int, token: UUID, *, reason: str, **columns: Any) -> bool:
    """Give the job up for good, with words for its owner and whatever else was learnt."""
    return _release(model, pk, token, state=LeasedJob.State.PARKED, reason=reason, **columns)


def record_failure(model: type[LeasedJob], pk: int, token: UUID, *, reason: str) -> bool:
    """Count an error of the work itself: try again later, or park after MAX_FAILURES."""
    with transaction.atomic(durable=True):
        job = _rows(model).select_for_update().filter(pk=pk, token=token).first()
        if job is None:
            return False
        failures = job.failures + 1
        if failures >= model.MAX_FAILURES:
            return _release(
                model, pk, token, state=LeasedJob.State.PARKED, reason=reason, failures=failures
            )
        wait = model.RETRY_AFTER[min(failures, len(model.RETRY_AFTER)) - 1]
        return _release(
            model,
            pk,
            token,
            state=LeasedJob.State.QUEUED,
            reason=reason,
            failures=failures,
            not_before=timezone.now() + wait,
        )


def requeue_parked(job: LeasedJob) -> bool:
    """Give a parked job a fresh start, as somebody asked; call inside a transaction."""
    parked = _rows(type(job)).filter(pk=job.pk, state=LeasedJob.State.PARKED)
    changed = parked.update(**_afresh())
    if changed:
        wake_on_commit(job)
    return bool(changed)


def start_afresh(job: LeasedJob, **columns: Any) -> None:
    """Queue a job whatever became of it, with what is asked now; call inside a transaction.

    Whoever holds it loses the lease, and so publishes nothing.
    """
    _rows(type(job)).filter(pk=job.pk).update(**_afresh(), token=None, lease_until=None, **columns)
    job.refresh_from_db()
    wake_on_commit(job)


def sweep() -> int:
    """Wake the worker for every stalled job of every kind; the number of messages sent.

    A job that is sent again counts as due from now, so that a worker that is merely slow is not
    sent the same job at every sweep.
    """
    now = timezone.now()
    sent = 0
    for model in job_models():
        stalled = _rows(model).filter(
            Q(state=LeasedJob.State.QUEUED, not_before__lte=now - PATIENCE)
            | Q(state=LeasedJob.State.QUEUED, failures__gte=1, not_before__lte=now)
            | Q(state=LeasedJob.State.RUNNING, lease_until__lte=now)
        )
        for pk in list(stalled.values_list("pk", flat=True)):
            _rows(model).filter(pk=pk, not_before__lte=now).update(not_before=now)
            _send(model.TASK, pk)
            sent += 1
    return sent


def job_models() -> list[type[LeasedJob]]:
    return [model for model in apps.get_models() if issubclass(model, LeasedJob)]


def unfinished() -> int:
    """How many jobs of any kind still wait or run."""
    return sum(
        _rows(model).filter(state__in=[LeasedJob.State.QUEUED, LeasedJob.State.RUNNING]).count()
        for model in job_models()
    )


def _afresh() -> dict[str, Any]:
    queued, now = LeasedJob.State.QUEUED, timezone.now()
    return {"state": queued, "failures": 0, "not_before": now, "finished_at": None, "reason": ""}


def _claimable(now: Any) -> Q:
    return Q(state=LeasedJob.State.QUEUED, not_before__lte=now) | Q(
        state=LeasedJob.State.RUNNING, lease_until__lte=now
    )


def _release(model: type[LeasedJob], pk: int, token: UUID, **columns: Any) -> bool:
    if columns["state"] in (LeasedJob.State.DONE, LeasedJob.State.PARKED):
        columns["finished_at"] = timezone.now()
    held = _rows(model).filter(pk=pk, token=token, state=LeasedJob.State.RUNNING)
    return bool(held.update(token=None, lease_until=None, **columns))


def _rows(model: type[LeasedJob]) -> QuerySet[Any]:
    return model._default_manager.all()
