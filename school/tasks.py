"""What the worker is woken for."""

from celery import shared_task

from school.actions import messages, sign_in_codes
from school.models import Message


@shared_task(name=Message.TASK)
def send_message(pk: int) -> None:
    messages.deliver(pk)


@shared_task(name=sign_in_codes.TASK)
def send_sign_in_code(email: str) -> None:
    sign_in_codes.send_code(email)
