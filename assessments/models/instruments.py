"""Launch monitors whose tables can be read."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from school.models import Account


class Instrument(models.Model):
    """How one launch monitor writes its table: which column is which, and in what unit.

    `columns` maps a quantity of the ball-flight station to the heading of its column, `units` to
    what it is written in; `side_sign` is 1 if the table counts + to the right, as the house does.
    """

    name = models.CharField(max_length=60)
    columns = models.JSONField()
    units = models.JSONField(default=dict, blank=True)
    side_sign = models.SmallIntegerField(default=1)
    saved_by = models.ForeignKey(Account, null=True, on_delete=models.PROTECT)
    saved_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                name="instrument_name_once",
                violation_error_message="There is an instrument of this name already.",
            ),
            models.CheckConstraint(
                condition=models.Q(side_sign__in=[-1, 1]), name="instrument_side_sign_is_1"
            ),
        ]

    def __str__(self) -> str:
        return self.name
