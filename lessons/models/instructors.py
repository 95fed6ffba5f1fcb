"""Who teaches what, and when they can."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.models.stations import Station
from school.models import Staff


class Instructor(models.Model):
    """A member of staff as a teacher. Loads are counted in the school's slots."""

    staff = models.OneToOneField(Staff, on_delete=models.PROTECT, related_name="instructor")
    max_slots_a_day = models.PositiveSmallIntegerField(default=7, validators=[MinValueValidator(1)])
    max_run = models.PositiveSmallIntegerField(
        "slots without a break", default=4, validators=[MinValueValidator(1)]
    )
    load_factor = models.PositiveSmallIntegerField(
        default=1,
        validators=[MinValueValidator(1)],
        help_text="what a slot counts when loads are compared: 2 for somebody on half time",
    )
    stations = models.ManyToManyField(Station, through="Qualification", related_name="instructors")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return str(self.staff)


class Qualification(models.Model):
    instructor = models.ForeignKey(Instructor, on_delete=models.CASCADE)
    station = models.ForeignKey(Station, on_delete=models.CASCADE)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["instructor", "station"], name="qualification_once")
        ]

    def __str__(self) -> str:
        return f"{self.instructor} teaches {self.station}"


class Hours(models.Model):
    """A stretch of one day, in instants, in which the instructor can teach."""

    instructor = models.ForeignKey(Instructor, on_delete=models.CASCADE, related_name="hours")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()

    class Meta:
        ordering = ["starts_at"]
        verbose_name_plural = "hours"
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="hours_end_after_they_start",
                violation_error_message="Hours must end after they start.",
            ),
            models.UniqueConstraint(fields=["instructor", "starts_at"], name="hours_start_once"),
        ]

    def __str__(self) -> str:
        return f"{self.instructor}: {self.starts_at:%Y-%m-%d %H:%M}"
