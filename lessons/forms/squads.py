"""Moving attendees between squads, and wishes about who is with whom."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from lessons.models import Squad, SquadWish
from school.models import Enrolment, School

NEW = "new"


class AttendeeField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Somebody with a seat, by name."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("empty_label", "Choose")
        super().__init__(Enrolment.objects.none(), **kwargs)

    def label_from_instance(self, obj: Enrolment) -> str:
        return obj.golfer.full_name


def seated(school: School) -> QuerySet[Enrolment]:
    return (
        school.enrolments.filter(state=Enrolment.State.SEATED)
        .select_related("golfer", "school__programme")
        .order_by("golfer__full_name", "pk")
    )


class _OfSchool(forms.Form):
    """A form whose attendees are those of one school."""

    def __init__(self, *args: Any, school: School, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.school = school
        for field in self.fields.values():
            if isinstance(field, AttendeeField):
                field.queryset = seated(school)


class MoveForm(_OfSchool):
    enrolment = AttendeeField()
    squad = forms.ChoiceField()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows = {str(row.pk): row for row in self.school.squads.all()}
        choices = [(pk, str(row)) for pk, row in self.rows.items()]
        self.fields["squad"].choices = [*choices, (NEW, "A new squad")]  # type: ignore[attr-defined]

    def wanted(self) -> tuple[Enrolment, Squad | None]:
        """Who goes where; None for a new squad."""
        return self.cleaned_data["enrolment"], self.rows.get(self.cleaned_data["squad"])


class SwapForm(_OfSchool):
    one = AttendeeField(label="One")
    other = AttendeeField(label="The other")


class WishForm(_OfSchool):
    one = AttendeeField(label="Attendee")
    other = AttendeeField(label="With or without")
    kind = forms.ChoiceField(
        label="Wish",
        choices=[
            (SquadWish.Kind.TOGETHER, "Keep them together"),
            (SquadWish.Kind.APART, "Keep them apart"),
        ],
    )
