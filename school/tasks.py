"""What the worker is woken for."""

from celery import shared_task

from school.actions import messages
from school.models import Message


@shared_task(name=Message.TASK)
def send_message(pk: int) -> None:
    messages.deliver(pk)
