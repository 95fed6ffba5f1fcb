"""What a station module exposes, and the values that pass through it.

A payload is what was typed or marked, as plain JSON in SI units. The form only makes a payload of
what was typed; whether it can be right is for `compute` to say, so that a payload that reaches the
action by another way is held to the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, TypeGuard

from django import forms
from django.utils.translation import gettext

if TYPE_CHECKING:
    from assessments.models import Entry, Still
    from assessments.units import Units
    from school.models import Enrolment

Payload = dict[str, Any]


def is_list_of_objects(value: object) -> TypeGuard[list[dict[str, Any]]]:
    return isinstance(value, list) and all(isinstance(item, dict) for item in value)


@dataclass(frozen=True)
class MeasureValue:
    """A number with its unit and its worth.

    `low` and `high` bound 95 %. They and the standard uncertainty are None where nothing is
    known of it, as for a single shot. `source` says how both were come by.
    """

    name: str
    value: float
    unit: str
    standard_uncertainty: float | None
    low: float | None
    high: float | None
    source: str


Measures = Mapping[str, MeasureValue]


@dataclass(frozen=True)
class Typical:
    """What is usual of a measure, and where that is from; an end that is open is None.

    It holds for one class of club and for handicaps from `handicap_from` to `handicap_to`, both
    included, where these are given. `source` names a publication, or says
    'common practice, no source'.
    """

    low: float | None
    high: float | None
    source: str
    club_class: str = ""
    handicap_from: float | None = None
    handicap_to: float | None = None


@dataclass(frozen=True)
class MeasureKind:
    """A measure that a station gives, as it is titled and written; `better` if a side is.

    `typical` are the ranges with which a golfer may be compared; usually there is none. A distance
    is long if it is read in yards where a short one is read in feet.
    """

    name: str
    title: str
    unit: str
    decimals: int
    better: Literal["higher", "lower", "none"] = "none"
    primary: bool = False
    signed: bool = False
    typical: tuple[Typical, ...] = ()
    is_long: bool = False

    @property
    def label(self) -> str:
        """The title in the language that is read."""
        return gettext(self.title)

    @property
    def bare_label(self) -> str:
        """The label without what its + means, for the middle of a sentence."""
        return self.label.partition(", +")[0]

    @property
    def heading(self) -> str:
        """The label as a line begins with it."""
        return self.label[:1].upper() + self.label[1:]


@dataclass(frozen=True)
class Context:
    """What the measures need beside the payload."""

    still: Still | None = None


@dataclass(frozen=True)
class Computed:
    """The measures of an entry, and codes of what is doubtful about it."""

    measures: tuple[MeasureValue, ...] = ()
    warnings: tuple[str, ...] = ()


class StationForm(forms.Form):
    """The form of a station. The id is made before anything is typed, so that sending the same
    form twice records one entry."""

    entry_id = forms.UUIDField(widget=forms.HiddenInput)
    supersedes = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def payload(self) -> Payload:
        """What was typed, once the form is valid."""
        raise NotImplementedError

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        """What to fill the form with so that it gives `payload` again."""
        raise NotImplementedError

    def field_for(self, place: str) -> str | None:
        """The field that holds this place of the payload; None if no single one does."""
        return place if place in self.fields else None

    def show_refusal(self, words: Mapping[str, str]) -> None:
        """Put what `EntryRefused` says of the payload beside the fields."""
        # all fields are found first: an error takes what was typed out of the cleaned data
        found = [(self.field_for(place), sentence) for place, sentence in words.items()]
        for field_name, sentence in found:
            self.add_error(field_name, sentence)


@dataclass(frozen=True)
class StationModule:
    """A station: how it is filled in, what it measures, how that is shown.

    Parameters
    ----------
    compute
        Measures of a payload. Raises `EntryRefused` if it cannot be right, and the impact station
        `StillRefused`.
    repeats
        Whether several entries of one attendee stand side by side in a phase, as several swings
        do. Otherwise a second one can only correct the first.
    needs_still, takes_still
        An entry belongs to a still and is marked on it, or may have one beside it.
    anywhere
        May be recorded in any session, whatever its station is for.
    page_template
        A partial with the form's fields, given `form`.
    detail_template, details
        A partial with what was recorded beside the measures, given `payload` and what `details`
        makes of it.
    initial
        What the form starts with for this attendee when nothing is corrected.
    chart
        Intake and exit, either of which may be missing, as what `chart_template` draws.
    drawing
        The payloads of intake and exit, either of which may be missing, as what
        `drawing_template` draws in the golfer's units, with its `heading` and, for those who do not
        see it, its `title`; None if there is nothing to draw.
    beside
        What `beside_template` shows on the page of an entry of the attendee's other entries;
        None if there is nothing to show.
    verdicts
        What the measures say, as sentences.
    warning_words
        A sentence for each code in `Computed.warnings`.
    for_professionals
        What it warns of is for a licensed professional: while an entry that stands warns of
        anything, nothing that the station measured is called good or bad, or is to be practised.
    words
        The coach's own words in a payload, for a station whose words the report prints.
    costs
        Strokes a round that each measure costs (+) or saves (-), for those that it is known of, and
        `costs_source` says against what.
    settings
        What the house knows beside what was sent, e.g. of the camera: it joins the payload when
        an entry is recorded, so that the entry explains itself for ever.
    import_url_name
        The page, addressed like the entry page, that reads entries from an instrument's table.
    """

    kind: str
    title: str
    form_class: type[StationForm]
    measures: tuple[MeasureKind, ...]
    compute: Callable[[Payload, Context], Computed]
    page_template: str = "assessments/stations/fields.html"
    detail_template: str | None = None
    details: Callable[[Payload], dict[str, Any]] | None = None
    chart: Callable[[Measures | None, Measures | None], dict[str, Any]] | None = None
    chart_template: str | None = None
    drawing: Callable[[Payload | None, Payload | None, Units], dict[str, Any] | None] | None = None
    drawing_template: str | None = None
    initial: Callable[[Enrolment], dict[str, Any]] | None = None
    beside: Callable[[Entry], dict[str, Any] | None] | None = None
    beside_template: str | None = None
    repeats: bool = False
    needs_still: bool = False
    takes_still: bool = False
    anywhere: bool = False
    words: Callable[[Payload], str] | None = None
    costs: Callable[[Measures], Mapping[str, float]] | None = None
    costs_source: str = ""
    verdicts: Callable[[Measures], tuple[str, ...]] | None = None
    warning_words: Mapping[str, str] = field(default_factory=dict)
    for_professionals: bool = False
    settings: Callable[[Context], Payload] | None = None
    import_url_name: str = ""

    @property
    def label(self) -> str:
        """The title in the language that is read."""
        return gettext(self.title)
