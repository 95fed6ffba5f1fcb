"""What follows here from what happens in the school app."""

from typing import Any

from django.dispatch import receiver

from lessons.actions.squads import leave_squad
from school.models import Enrolment
from school.signals import enrolment_cancelled


@receiver(enrolment_cancelled)
def drop_squad_place(enrolment: Enrolment, **kwargs: Any) -> None:
    leave_squad(enrolment=enrolment)
