"""The forms of a practice plan: what a golfer has for practice, and the plan itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.utils import flatatt
from django.http import QueryDict
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from assessments.actions.practice import MOST_MINUTES_A_DAY, Means, WrittenPriority
from assessments.forms.sent import whole_number
from assessments.models import PracticePlan
from assessments.practice.choose import why_not
from assessments.practice.propose import DrillFacts, Time
from assessments.practice.values import (
    LONGEST_COUNT,
    LONGEST_TITLE,
    LONGEST_WHY,
    MOST_PRIORITIES,
    WEEKS,
    ProposedItem,
)
from assessments.practice.words import EQUIPMENT, HURTS, WEEK_WORDS

MOST_ROWS = 72
# What a golfer who comes to a school usually has; the instructor asks, and changes it.
USUALLY_THERE = (
    *("balls", "irons", "wedges", "driver", "putter", "tees", "towel"),
    *("range", "green", "short_game_green", "course"),
)

Choices = list[tuple[str, str | list[tuple[str, str]]]]


class MeansForm(forms.Form):
    """Time, equipment, and what must be spared."""

    edition = forms.IntegerField(widget=forms.HiddenInput, initial=0)
    minutes_a_week = forms.IntegerField(
        min_value=10, max_value=1200, initial=90, label="Minutes a week"
    )
    days_a_week = forms.IntegerField(min_value=1, max_value=7, initial=3, label="Days a week")
    equipment = forms.MultipleChoiceField(
        choices=tuple(EQUIPMENT.items()),
        widget=forms.CheckboxSelectMultiple,
        initial=USUALLY_THERE,
        required=False,
        label="There is at home or near it",
    )
    hurts = forms.MultipleChoiceField(
        choices=tuple(HURTS.items()),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        label="Hurts, or must be spared",
    )
    over_edited = forms.BooleanField(
        required=False, label="Replace the plan with all that was edited in it"
    )

    def means(self) -> Means:
        data = self.cleaned_data
        return Means(
            Time(data["minutes_a_week"], data["days_a_week"]),
            frozenset(data["equipment"]),
            frozenset(data["hurts"]),
        )

    @classmethod
    def of(cls, plan: PracticePlan | None) -> MeansForm:
        """Filled with what the plan was made for; replacing edits is for the person to tick."""
        if plan is None:
            return cls()
        names = ("edition", "minutes_a_week", "days_a_week", "equipment", "hurts")
        return cls(initial={name: getattr(plan, name) for name in names})


class DrillSelect(forms.Select):
    """A select written in one go.

    With a library of fifty drills in each of thirty rows, a template for each option takes most of
    a second.
    """

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        chosen = str(value or "")
        groups = _options(self.choices, chosen)
        attributes = flatatt({**self.build_attrs(self.attrs, attrs), "name": name})
        return format_html("<select{}>{}</select>", attributes, groups)


def _options(choices: Iterable[Any], chosen: str) -> SafeString:
    return format_html_join(
        "", "{}", ((_option(value, label, chosen),) for value, label in choices)
    )


def _option(value: Any, label: Any, chosen: str) -> SafeString:
    """An option, or a group of them."""
    if not isinstance(label, str):
        inside = _options(label, chosen)
        return format_html('<optgroup label="{}">{}</optgroup>', value, inside)
    selected = mark_safe(" selected") if str(value) == chosen else ""
    return format_html('<option value="{}"{}>{}</option>', value, selected, label)


WIDGET_CLASSES: dict[type[forms.Widget], str] = {
    forms.Select: "form-select",
    DrillSelect: "form-select",
    forms.CheckboxInput: "form-check-input",
    forms.HiddenInput: "",
}


def _between(least: int, most: int) -> Callable[[int], None]:
    """In fewer words than Django has, since a narrow column holds them."""

    def check(value: int) -> None:
        if not least <= value <= most:
            raise forms.ValidationError(f"{least} to {most}.")

    return check


class PlainForm(forms.Form):
    """Fields that look as the site's do without a layout of their own."""

    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            css = WIDGET_CLASSES.get(type(field.widget), "form-control")
            field.widget.attrs.setdefault("class", css)


class PriorityForm(PlainForm):
    """One priority; emptied of both, it is taken out of the plan."""

    title = forms.CharField(max_length=LONGEST_TITLE, required=False, label="To work on")
    why = forms.CharField(
        max_length=LONGEST_WHY,
        required=False,
        label="Why this",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        words = {
            "title": "Say what to work on, or empty the reason as well.",
            "why": "Say why, or empty what to work on as well.",
        }
        filled = [name for name in words if data.get(name) or self.has_error(name)]
        for name in words if len(filled) == 1 else ():
            if name not in filled:
                self.add_error(name, words[name])
        return data


class RowForm(PlainForm):
    """One drill of one week. A row in which nothing is chosen, or that is ticked, is left out."""

    week = forms.IntegerField(min_value=1, max_value=WEEKS, widget=forms.HiddenInput)
    drill = forms.ChoiceField(
        label="Drill", widget=DrillSelect, error_messages={"required": "Choose a drill."}
    )
    count = forms.CharField(max_length=LONGEST_COUNT, required=False, label="Count")
    minutes = forms.IntegerField(
        required=False,
        label="Minutes a day",
        validators=[_between(1, MOST_MINUTES_A_DAY)],
        error_messages={"invalid": "A whole number."},
    )
    days = forms.IntegerField(
        label="Days",
        validators=[_between(1, 7)],
        error_messages={"invalid": "A whole number.", "required": "1 to 7."},
    )
    serves = forms.TypedChoiceField(
        coerce=int,
        empty_value=None,
        required=False,
        label="For priority",
        choices=[("", "none"), *((str(n), str(n)) for n in range(1, MOST_PRIORITIES + 1))],
    )
    remove = forms.BooleanField(required=False, label="Remove")

    def __init__(self, *args: Any, drills: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs | {"empty_permitted": True})
        drill = self.fields["drill"]
        assert isinstance(drill, forms.ChoiceField)
        drill.choices = drills

    def has_changed(self) -> bool:
        if self["remove"].value() in ("on", True):
            return False
        return any(self[name].value() for name in ("drill", "count", "minutes"))

    @property
    def in_week(self) -> int:
        """The week it is shown in, also while it cannot be read."""
        value = str(self["week"].value())
        return int(value) if value in {str(week) for week in WEEK_WORDS} else 1

    @property
    def total(self) -> int:
        """Minutes in its week, as far as they can be read."""
        minutes, days = (
            whole_number(str(self[name].value() or "")) for name in ("minutes", "days")
        )
        return minutes * days


@dataclass(frozen=True)
class WeekRows:
    """The rows of one week on the page."""

    number: int
    heading: str
    words: str
    rows: tuple[RowForm, ...]

    @property
    def minutes(self) -> int:
        return sum(row.total for row in self.rows)


class PlanForms:
    """A plan's priorities and rows, as they stand or as they were typed.

    Parameters
    ----------
    data
        What was typed, to be judged; None fills the forms with what stands.
    typed
        What was typed, not to be judged yet, with a row more in week `add`.
    """

    def __init__(
        self,
        plan: PracticePlan,
        drills: Sequence[DrillFacts],
        *,
        data: QueryDict | None = None,
        typed: QueryDict | None = None,
        add: int = 0,
    ) -> None:
        self.plan, self.drills = plan, {drill.slug: drill for drill in drills}
        self.is_bound = data is not None
        sent = data or typed
        self.edition = sent.get("edition", "") if sent else str(plan.edition)
        starts = list(_started(plan)) if typed is None else list(_typed(typed))
        if add and len(starts) < MOST_ROWS:  # more than are read would be lost when they are sent
            starts.append({"week": add, "days": 1})
        rows = _rows_in(data) if data is not None else len(starts)
        choices = _choices(plan, drills)
        self.rows = [
            RowForm(
                data,
                prefix=f"row{number}",
                initial=starts[number] if data is None else None,
                drills=choices,
            )
            for number in range(rows)
        ]
        standing = [{"title": row.title, "why": row.why} for row in plan.priorities.all()]
        standing += [{"title": "", "why": ""}] * (MOST_PRIORITIES - len(standing))
        self.priorities = [
            PriorityForm(
                data,
                prefix=f"priority{number}",
                initial=_fields_of(typed, f"priority{number}", initial) if typed else initial,
            )
            for number, initial in enumerate(standing, start=1)
        ]

    def is_valid(self) -> bool:
        """Judge every form, so that all that is wrong is shown at once."""
        forms_valid = [form.is_valid() for form in (*self.priorities, *self.rows)]
        if not all(forms_valid):
            return False
        empty = [not form.cleaned_data["title"] for form in self.priorities]
        for row in self._kept():
            serves = row.cleaned_data["serves"]
            if serves and empty[serves - 1]:
                row.add_error("serves", "This priority is empty. Choose another, or none.")
        return not any(row.errors for row in self.rows)

    @property
    def errors(self) -> int:
        return (
            sum(len(form.errors) for form in (*self.priorities, *self.rows)) if self.is_bound else 0
        )

    @property
    def weeks(self) -> list[WeekRows]:
        return [
            WeekRows(number, *words, tuple(row for row in self.rows if row.in_week == number))
            for number, words in WEEK_WORDS.items()
        ]

    def written_priorities(self) -> list[WrittenPriority]:
        """Those that are filled in; each keeps the finding that it stood for."""
        standing = {row.position: row for row in self.plan.priorities.all()}
        return [
            WrittenPriority(
                form.cleaned_data["title"],
                form.cleaned_data["why"],
                *(getattr(standing.get(number), name, "") for name in FINDING),
            )
            for number, form in enumerate(self.priorities, start=1)
            if form.cleaned_data["title"]
        ]

    def items(self) -> list[ProposedItem]:
        """The rows by week; what was left empty of a drill is as the drill has it."""
        filled = [n for n, form in enumerate(self.priorities, 1) if form.cleaned_data["title"]]
        index = {number: place for place, number in enumerate(filled)}
        kept = sorted(self._kept(), key=lambda row: row.cleaned_data["week"])
        places: dict[int, int] = {}
        found = []
        for row in kept:
            data, drill = row.cleaned_data, self.drills[row.cleaned_data["drill"]]
            week = data["week"]
            places[week] = places.get(week, 0) + 1
            found.append(
                ProposedItem(
                    *(week, places[week], drill.slug, index.get(data["serves"]), data["days"]),
                    minutes=data["minutes"] or drill.minutes,
                    count=data["count"] or drill.count,
                )
            )
        return found

    def _kept(self) -> Iterator[RowForm]:
        return (row for row in self.rows if row.has_changed())


FINDING = ("kind", "measure", "club_class")
ROW_FIELDS = ("week", "drill", "count", "minutes", "days", "serves", "remove")


def _started(plan: PracticePlan) -> Iterable[dict[str, Any]]:
    positions = {row.pk: row.position for row in plan.priorities.all()}
    for item in plan.items.all():
        yield {
            "week": item.week,
            "drill": item.drill.slug,
            "count": item.count,
            "minutes": item.minutes,
            "days": item.days,
            "serves": positions[item.priority_id] if item.priority_id else "",
        }


def _typed(typed: QueryDict) -> Iterable[dict[str, Any]]:
    for number in range(_rows_in(typed)):
        yield _fields_of(typed, f"row{number}", dict.fromkeys(ROW_FIELDS, ""))


def _fields_of(typed: Mapping[str, Any], prefix: str, names: Iterable[str]) -> dict[str, Any]:
    return {name: typed.get(f"{prefix}-{name}", "") for name in names}


def _rows_in(data: QueryDict) -> int:
    return min(whole_number(data.get("rows", "")), MOST_ROWS)


def _choices(plan: PracticePlan, drills: Iterable[DrillFacts]) -> Choices:
    """The drills, those that this golfer cannot do apart and with the reason."""
    equipment, hurts = frozenset(plan.equipment), frozenset(plan.hurts)
    can: list[tuple[str, str]] = []
    cannot: list[tuple[str, str]] = []
    for drill in drills:
        reason = why_not(drill, equipment=equipment, hurts=hurts)
        if reason:
            cannot.append((drill.slug, f"{drill.name} ({reason})"))
        else:
            can.append((drill.slug, drill.name))
    groups: Choices = [("", "Choose a drill"), ("Can be done", can)]
    return [*groups, ("Left out of proposals", cannot)] if cannot else groups
