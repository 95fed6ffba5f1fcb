"""The terms on which a school is sold. A school copies its programme's when it is set up."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class Paper(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", "Letter"


class Terms(models.Model):
    """Money, deadlines and what stands on the public page."""

    price = models.DecimalField(max_digits=8, decimal_places=2, validators=[MinValueValidator(0)])
    deposit = models.DecimalField(
        max_digits=8, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    currency = models.CharField(max_length=3, default="GBP")
    balance_due_days = models.PositiveSmallIntegerField(
        "days before the first day on which the balance is due", default=28
    )
    offer_hours = models.PositiveSmallIntegerField(
        "hours for which a free seat is offered to the head of the waiting list",
        default=48,
        validators=[MinValueValidator(1), MaxValueValidator(336)],
    )
    included = models.TextField("what is included", blank=True)
    to_bring = models.TextField("what to bring", blank=True)
    paper = models.CharField(
        "paper of what is printed", max_length=6, choices=Paper.choices, default=Paper.A4
    )

    TERM_FIELDS = (
        "price",
        "deposit",
        "currency",
        "balance_due_days",
        "offer_hours",
        "included",
        "to_bring",
        "paper",
    )

    class Meta:
        abstract = True


class RefundStep(models.Model):
    """One line of the cancellation policy: from `days_before` the first day on, this much of the
    price is given back. Without a line that applies, nothing is."""

    days_before = models.PositiveSmallIntegerField("at least this many days before the first day")
    percent = models.PositiveSmallIntegerField("percent of the price given back")

    class Meta:
        abstract = True
        ordering = ["-days_before"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(percent__lte=100),
                name="%(class)s_percent_at_most_100",
                violation_error_message="No more than 100 percent is given back.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.days_before} days before: {self.percent} %"
