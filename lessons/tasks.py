"""What the worker is woken for."""

from celery import shared_task

from lessons.actions import plans


@shared_task(name="lessons.find_plan")
def find_plan(pk: int) -> None:
    plans.find_plan(pk)
