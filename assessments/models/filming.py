"""Where stills are filmed, and what is known of the camera there."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q


class Joints(models.TextChoices):
    MARKED = "marked", "marked with tape"
    UNMARKED = "unmarked", "seen by eye"


class FilmingPlace(models.Model):
    """A camera on its spot. What is not known of it stays empty, and the measures say so.

    `click_sd_px` and the spreads that follow from `joints` are assumptions until a study of the
    place is in force. The rectangle lies on the ground, its long side along the target line:
    lengths in millimetres, and how far its near long side lies behind the ball (minus: in front).
    """

    name = models.CharField(max_length=80, unique=True)
    joints = models.CharField(max_length=8, choices=Joints.choices, default=Joints.UNMARKED)
    click_sd_px = models.FloatField(
        "error of one click, in pixels of the still",
        default=1.5,
        validators=[MinValueValidator(0.1), MaxValueValidator(20)],
    )
    step_mm = models.FloatField(
        "one step on the ground scale, in mm",
        default=42.67,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
        help_text="one ball, unless the school counts in something else",
    )
    is_camera_fixed = models.BooleanField(
        "the camera stays where it is",
        default=False,
        help_text="one scale then serves all stills of a day",
    )
    is_camera_level = models.BooleanField("the camera is levelled", default=False)
    frames_a_second = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(24), MaxValueValidator(2000)]
    )
    camera_distance_mm = models.PositiveIntegerField(
        "from ball to lens, in mm", null=True, blank=True
    )
    camera_height_mm = models.PositiveIntegerField(
        "lens above the ground, in mm", null=True, blank=True
    )
    rectangle_long_mm = models.PositiveIntegerField(
        "along the target line, in mm", null=True, blank=True
    )
    rectangle_wide_mm = models.PositiveIntegerField("across it, in mm", null=True, blank=True)
    rectangle_behind_mm = models.IntegerField(
        "its side near the camera behind the ball, in mm", null=True, blank=True
    )
    is_in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(click_sd_px__gt=0, step_mm__gt=0),
                name="filming_place_spreads_above_nothing",
                violation_error_message="The error of a click and the step are above 0.",
            ),
            models.CheckConstraint(
                condition=Q(
                    rectangle_long_mm=None, rectangle_wide_mm=None, rectangle_behind_mm=None
                )
                # to a database an empty length is neither above 0 nor not
                | Q(
                    rectangle_long_mm__isnull=False,
                    rectangle_long_mm__gt=0,
                    rectangle_wide_mm__isnull=False,
                    rectangle_wide_mm__gt=0,
                    rectangle_behind_mm__isnull=False,
                    camera_distance_mm__isnull=False,
                    camera_distance_mm__gt=0,
                ),
                name="filming_place_whole_rectangle",
                violation_error_message=(
                    "A rectangle needs both sides, where it lies, and the distance of the camera."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Study(models.Model):
    """How well stills of one place are marked: the same stills, marked several times over.

    `result` is JSON by measure: `{"stills", "markings", "icc_agreement", "icc_consistency", "sem",
    "mdc95", "click_sd", "rater_sd", "df"}`, coefficients and errors as `value`, `low` and `high`.
    At most one study of a place is in force; its spreads replace the assumed ones.
    """

    place = models.ForeignKey(FilmingPlace, on_delete=models.PROTECT, related_name="studies")
    name = models.CharField(max_length=80)
    markings_wanted = models.PositiveSmallIntegerField(
        "markings a still",
        default=3,
        validators=[MinValueValidator(2), MaxValueValidator(10)],
    )
    opened_by = models.ForeignKey("school.Account", null=True, on_delete=models.PROTECT)
    opened_at = models.DateTimeField(auto_now_add=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    result = models.JSONField(default=dict, blank=True)
    is_in_force = models.BooleanField(default=False)

    class Meta:
        ordering = ["-opened_at"]
        verbose_name_plural = "studies"
        constraints = [
            models.UniqueConstraint(
                fields=["place"],
                condition=Q(is_in_force=True),
                name="study_one_in_force_a_place",
                violation_error_message="Another study of this place is in force.",
            ),
            models.UniqueConstraint(
                fields=["place"],
                condition=Q(closed_at=None),
                name="study_one_open_a_place",
                violation_error_message="Another study of this place is under way.",
            ),
            models.CheckConstraint(
                condition=Q(is_in_force=False) | Q(closed_at__isnull=False),
                name="study_in_force_is_closed",
                violation_error_message="Close the study first.",
            ),
            models.CheckConstraint(
                condition=Q(markings_wanted__gte=2), name="study_marks_more_than_once"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class StudyStill(models.Model):
    """One still of a study; `order` is drawn at random, so that names and days do not lead."""

    study = models.ForeignKey(Study, on_delete=models.CASCADE, related_name="stills")
    still = models.ForeignKey("Still", on_delete=models.PROTECT, related_name="in_studies")
    order = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["study", "order"]
        constraints = [
            models.UniqueConstraint(fields=["study", "still"], name="study_still_once"),
            models.UniqueConstraint(fields=["study", "order"], name="study_order_once"),
        ]

    def __str__(self) -> str:
        return f"{self.order} of {self.study}"


class Marking(models.Model):
    """A still marked once more, without sight of the first marks. It is no swing and no entry.

    The id is made on the device. `values` are the measures by name, as computed when it arrived.
    """

    id = models.UUIDField(primary_key=True)
    still = models.ForeignKey("Still", on_delete=models.PROTECT, related_name="markings")
    study = models.ForeignKey(
        Study, null=True, blank=True, on_delete=models.PROTECT, related_name="markings"
    )
    turn = models.PositiveSmallIntegerField(default=1)
    payload = models.JSONField()
    values = models.JSONField()
    definitions_version = models.CharField(max_length=40)
    marked_by = models.ForeignKey("school.Account", on_delete=models.PROTECT, related_name="+")
    marked_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["marked_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["study", "still", "turn"],
                name="marking_once_a_turn",
                violation_error_message="This still has been marked for this turn already.",
            ),
            models.CheckConstraint(condition=Q(turn__gte=1), name="marking_turn_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.still} marked by {self.marked_by}"


class ReferenceStill(models.Model):
    """A still that the school keeps to compare later cohorts with, without a name."""

    still = models.OneToOneField("Still", on_delete=models.CASCADE, related_name="as_reference")
    chosen_by = models.ForeignKey("school.Account", null=True, on_delete=models.PROTECT)
    chosen_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["chosen_at"]

    def __str__(self) -> str:
        return f"reference: {self.still}"
