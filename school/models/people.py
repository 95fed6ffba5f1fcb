"""Who signs in, who works here and who is taught."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

ADULT_YEARS = 18


class AccountManager(BaseUserManager["Account"]):
    def create_user(self, email: str, password: str | None = None, **fields: Any) -> Account:
        account = self.model(email=self.normalize_email(email).lower(), **fields)
        account.set_password(password)
        account.save(using=self._db)
        return account

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> Account:
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)

    def get_by_natural_key(self, username: str | None) -> Account:
        return self.get(email__iexact=username)


class Account(AbstractBaseUser, PermissionsMixin):
    """A sign-in. What its holder may do follows from the staff or golfer rows behind it."""

    email = models.EmailField("e-mail", unique=True)
    full_name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField("may open the admin", default=False)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["full_name"]
    objects = AccountManager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(email=Lower("email")),
                name="account_email_in_small_letters",
                violation_error_message="Write the e-mail in small letters.",
            )
        ]

    def __str__(self) -> str:
        return self.full_name or self.email


class Staff(models.Model):
    """Somebody who works here, in one job or several."""

    account = models.OneToOneField(Account, on_delete=models.PROTECT, related_name="staff")
    at_front_desk = models.BooleanField(default=False)
    teaches = models.BooleanField(default=False)
    owns = models.BooleanField("owner", default=False)

    class Meta:
        verbose_name_plural = "staff"
        constraints = [
            models.CheckConstraint(
                condition=Q(at_front_desk=True) | Q(teaches=True) | Q(owns=True),
                name="staff_has_a_job",
                violation_error_message="Tick at least one job.",
            )
        ]

    def __str__(self) -> str:
        return self.account.full_name


class Handedness(models.TextChoices):
    RIGHT = "right", "right-handed"
    LEFT = "left", "left-handed"


class DistanceUnit(models.TextChoices):
    YARDS = "yd", "yards"
    METRES = "m", "metres"


class SpeedUnit(models.TextChoices):
    MILES_AN_HOUR = "mph", "miles an hour"
    METRES_A_SECOND = "m/s", "metres a second"


class Language(models.TextChoices):
    """What a report can be written in; each name in its own language."""

    ENGLISH = "en", "English"
    GERMAN = "de", "Deutsch"


class Golfer(models.Model):
    """The person being taught.

    `handicap_index` below zero is a plus handicap; empty means none yet.
    """

    account = models.OneToOneField(
        Account, null=True, blank=True, on_delete=models.PROTECT, related_name="golfer"
    )
    full_name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField(max_length=40, blank=True)
    birth_date = models.DateField(null=True, blank=True)
    handedness = models.CharField(
        max_length=5, choices=Handedness.choices, default=Handedness.RIGHT
    )
    handicap_index = models.DecimalField(max_digits=3, decimal_places=1, null=True, blank=True)
    guardian_name = models.CharField(max_length=120, blank=True)
    guardian_phone = models.CharField(max_length=40, blank=True)
    care_notes = models.TextField("anything a coach must know", blank=True)
    guardian_email = models.EmailField("guardian's e-mail", blank=True)
    emergency_contact = models.CharField(max_length=160, blank=True)
    distances_in = models.CharField(
        max_length=2, choices=DistanceUnit.choices, default=DistanceUnit.YARDS
    )
    speeds_in = models.CharField(
        max_length=3, choices=SpeedUnit.choices, default=SpeedUnit.MILES_AN_HOUR
    )
    language = models.CharField(
        "language of the report", max_length=5, choices=Language.choices, default=Language.ENGLISH
    )
    merged_into = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="merged"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=models.F("id")),
                name="golfer_merged_into_another",
            ),
            models.UniqueConstraint(
                Lower("email"),
                Lower("full_name"),
                condition=~Q(email="") & Q(merged_into__isnull=True),
                name="golfer_email_and_name_once",
                violation_error_message="This golfer is already on file.",
            ),
            models.CheckConstraint(
                condition=Q(handicap_index__isnull=True)
                | Q(handicap_index__gte=-10, handicap_index__lte=54),
                name="golfer_handicap_index_in_range",
                violation_error_message=(
                    "A Handicap Index lies between +10.0 (entered as −10.0) and 54.0."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.full_name

    def age_on(self, day: date) -> int | None:
        """Full years; None without a birth date."""
        if self.birth_date is None:
            return None
        had_birthday = (day.month, day.day) >= (self.birth_date.month, self.birth_date.day)
        return day.year - self.birth_date.year - (not had_birthday)

    def is_minor_on(self, day: date) -> bool:
        """Whether the golfer is under 18 on `day`; without a birth date, an adult."""
        age = self.age_on(day)
        return age is not None and age < ADULT_YEARS
