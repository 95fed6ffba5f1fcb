"""Photographs at impact, filmed face-on."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from assessments.models.filming import FilmingPlace
from lessons.models import Phase
from school.models import Account, Enrolment, Handedness


class ClubClass(models.TextChoices):
    DRIVER = "driver", "driver"
    WOOD = "wood", "fairway wood"
    IRON = "iron", "iron"
    WEDGE = "wedge", "wedge"


class ShotKind(models.TextChoices):
    FULL = "full", "full swing"
    SPECIALTY = "specialty", "specialty shot"


class Still(models.Model):
    """One still of one attendee. Its id is made on the device, so sending it twice is harmless.

    Handedness is copied from the golfer when the still arrives: a later correction of the
    golfer must not change what was measured. With `picture_before`, the frame before the strike,
    `picture` is the frame at or after it, of the same clip and the same size.
    """

    id = models.UUIDField(primary_key=True)
    enrolment = models.ForeignKey(Enrolment, on_delete=models.PROTECT, related_name="stills")
    phase = models.CharField(max_length=8, choices=Phase.choices)
    club_class = models.CharField(max_length=6, choices=ClubClass.choices)
    shot_kind = models.CharField(max_length=9, choices=ShotKind.choices, default=ShotKind.FULL)
    handedness = models.CharField(max_length=5, choices=Handedness.choices)
    filming_place = models.ForeignKey(
        FilmingPlace, null=True, blank=True, on_delete=models.PROTECT, related_name="stills"
    )
    picture = models.FileField(upload_to="stills/%Y/%m/", max_length=200)
    sha256 = models.CharField(max_length=64)
    picture_before = models.FileField(upload_to="stills/%Y/%m/", max_length=200, blank=True)
    sha256_before = models.CharField(max_length=64, blank=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    uploaded_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    uploaded_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["uploaded_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width_px__gte=1, height_px__gte=1), name="still_has_a_size"
            ),
            models.UniqueConstraint(
                fields=["enrolment", "phase", "sha256"],
                name="still_picture_once_a_phase",
                violation_error_message="This picture is already there.",
            ),
            models.CheckConstraint(
                condition=Q(picture_before="", sha256_before="")
                | (~Q(picture_before="") & ~Q(sha256_before="") & ~Q(sha256_before=F("sha256"))),
                name="still_before_is_another_frame",
                violation_error_message="The frame before the strike must be another frame.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_phase_display()} {self.get_club_class_display()} still"
