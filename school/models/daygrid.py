"""How a teaching day is cut into slots."""

from datetime import date, datetime, time, timedelta

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

QUARTER_MIN = 15


def _a_whole_number_of_quarters(minutes: int) -> None:
    if minutes % QUARTER_MIN:
        raise ValidationError("Give a multiple of 15 minutes.")


def _on_a_quarter(moment: time) -> None:
    # Holds are taken by the quarter hours of the clock.
    if moment.minute % QUARTER_MIN or moment.second:
        raise ValidationError("The day opens on a quarter hour.")


class DayGrid(models.Model):
    """A morning and an afternoon of equal slots around lunch; the same on every day."""

    day_opens = models.TimeField(default=time(9, 0), validators=[_on_a_quarter])
    slot_min = models.PositiveSmallIntegerField(
        "minutes a slot",
        default=45,
        validators=[MinValueValidator(15), MaxValueValidator(180), _a_whole_number_of_quarters],
    )
    morning_slots = models.PositiveSmallIntegerField(
        default=4, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    lunch_min = models.PositiveSmallIntegerField(
        "minutes of lunch",
        default=60,
        validators=[MaxValueValidator(180), _a_whole_number_of_quarters],
    )
    afternoon_slots = models.PositiveSmallIntegerField(
        default=4, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )

    class Meta:
        abstract = True

    GRID_FIELDS = ("day_opens", "slot_min", "morning_slots", "lunch_min", "afternoon_slots")

    @property
    def slots_per_day(self) -> int:
        return self.morning_slots + self.afternoon_slots

    def slot_starts(self, day: date, slot: int) -> datetime:
        """The local wall-clock time, without zone, at which `slot` of `day` begins."""
        minutes = slot * self.slot_min
        if slot >= self.morning_slots:
            minutes += self.lunch_min
        return datetime.combine(day, self.day_opens) + timedelta(minutes=minutes)
