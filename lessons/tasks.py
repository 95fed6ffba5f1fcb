"""What the worker is woken for."""

from celery import shared_task

from lessons.actions import searching
from lessons.models import Plan


@shared_task(name=Plan.TASK)
def find_plan(pk: int) -> None:
    searching.find_plan(pk)
