"""Up to four attendees who move together."""

from django.db import models
from django.db.models import F, Q

from school.models import Enrolment, School


class Squad(models.Model):
    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="squads")
    number = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["school", "number"]
        constraints = [
            models.UniqueConstraint(fields=["school", "number"], name="squad_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="squad_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"Squad {self.number}"


class SquadMember(models.Model):
    """An attendee's place in a squad. Places run 1 to 4, so a squad cannot hold five."""

    squad = models.ForeignKey(Squad, on_delete=models.CASCADE, related_name="members")
    enrolment = models.OneToOneField(
        Enrolment, on_delete=models.CASCADE, related_name="squad_member"
    )
    place = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["squad", "place"]
        constraints = [
            models.UniqueConstraint(fields=["squad", "place"], name="squad_place_taken_once"),
            models.CheckConstraint(
                condition=Q(place__gte=1, place__lte=4),
                name="squad_places_one_to_four",
                violation_error_message="A squad holds at most four attendees.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.enrolment.golfer} in {self.squad}"


class SquadWish(models.Model):
    """Two attendees to be kept in one squad, or out of it; kept once, in order of enrolment."""

    class Kind(models.TextChoices):
        TOGETHER = "together", "together"
        APART = "apart", "apart"

    one = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="+")
    other = models.ForeignKey(Enrolment, on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=8, choices=Kind.choices)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "squad wishes"
        constraints = [
            models.UniqueConstraint(
                fields=["one", "other"],
                name="squad_wish_once_a_pair",
                violation_error_message="There is a wish about these two already.",
            ),
            models.CheckConstraint(
                condition=Q(one__lt=F("other")),
                name="squad_wish_in_order",
                violation_error_message="A wish is about two attendees, the earlier first.",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["together", "apart"]), name="squad_wish_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.one.golfer} and {self.other.golfer} {self.kind}"
