"""An instructor's hours on the dates of one school."""

from collections.abc import Iterator, Sequence
from datetime import date, time
from typing import Any

from django import forms

from lessons.actions.hours import FromTo
from lessons.forms.fields import ClockField
from lessons.queries.hours import OfferedHours


class HoursForm(forms.Form):
    """Two times a date; a date with both empty is one on which the instructor does not teach."""

    def __init__(self, *args: Any, offered: Sequence[OfferedHours], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = offered
        for each in offered:
            self.fields[f"from_{each.date}"] = ClockField(
                label="From", initial=each.starts, required=False
            )
            self.fields[f"to_{each.date}"] = ClockField(
                label="To", initial=each.ends, required=False
            )

    def rows(self) -> Iterator[tuple[OfferedHours, forms.BoundField, forms.BoundField]]:
        for each in self.offered:
            yield each, self[f"from_{each.date}"], self[f"to_{each.date}"]

    def clean(self) -> dict[str, Any]:
        for each in self.offered:
            starts, ends = self._typed(each.date)
            if f"to_{each.date}" in self.errors or f"from_{each.date}" in self.errors:
                continue
            if (starts is None) != (ends is None):
                self.add_error(f"to_{each.date}", "Give both times or neither.")
            elif starts and ends and ends <= starts:
                self.add_error(f"to_{each.date}", "The end must come after the start.")
        return self.cleaned_data

    def changed(self) -> dict[date, FromTo | None]:
        """The dates whose times were changed, so that breaks on the other dates are kept."""
        found: dict[date, FromTo | None] = {}
        for each in self.offered:
            starts, ends = self._typed(each.date)
            if {f"from_{each.date}", f"to_{each.date}"} & set(self.changed_data):
                found[each.date] = (starts, ends) if starts and ends else None
        return found

    def _typed(self, day: date) -> tuple[time | None, time | None]:
        return self.cleaned_data.get(f"from_{day}"), self.cleaned_data.get(f"to_{day}")
