"""Where teaching happens."""

from django.db import models
from django.db.models import F, Q


class Place(models.Model):
    """A part of the learning centre that bays belong to and people walk between."""

    slug = models.SlugField(primary_key=True, max_length=30)
    name = models.CharField(max_length=80)
    is_base = models.BooleanField(
        "where squads start from and come back to", default=False, help_text="one place at most"
    )

    class Meta:
        ordering = ["slug"]
        constraints = [
            models.UniqueConstraint(
                fields=["is_base"],
                condition=Q(is_base=True),
                name="place_one_base",
                violation_error_message="Squads start from one place only.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Walk(models.Model):
    """Minutes on foot between two places, the same both ways; kept once, in slug order."""

    a = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="+")
    b = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="+")
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["a", "b"], name="walk_once_a_pair"),
            models.CheckConstraint(
                condition=Q(a__lt=F("b")),
                name="walk_in_slug_order",
                violation_error_message="Give the places of a walk in alphabetical order.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.a_id} to {self.b_id}: {self.minutes} min"


class Feature(models.Model):
    """Something a bay offers and a station may need: a green, a cover, a face-on camera."""

    LEFT_HANDED = "left-handed"
    COVERED = "covered"
    LIT = "lit"

    slug = models.SlugField(primary_key=True, max_length=30)
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["slug"]

    def __str__(self) -> str:
        return self.name


class Bay(models.Model):
    """A hitting or teaching place.

    As many squads as its capacity are there at once, if they have the same visit.
    """

    slug = models.SlugField(unique=True, max_length=30)
    name = models.CharField(max_length=80)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="bays")
    features = models.ManyToManyField(Feature, blank=True, related_name="bays")
    capacity = models.PositiveSmallIntegerField("squads at once", default=1)
    is_open = models.BooleanField(default=True)

    class Meta:
        ordering = ["slug"]
        constraints = [
            models.CheckConstraint(
                condition=Q(capacity__gte=1),
                name="bay_holds_a_squad",
                violation_error_message="A bay holds at least one squad.",
            )
        ]

    def __str__(self) -> str:
        return self.name
