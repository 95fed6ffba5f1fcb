"""What day it is where a school is held."""

from datetime import date

from django.utils import timezone

from school.models import School


def today_at(school: School) -> date:
    return timezone.now().astimezone(school.zone).date()
