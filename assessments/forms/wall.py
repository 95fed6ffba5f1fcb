"""What hangs on the wall, and in which order."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms

from assessments.queries.findings import Group
from assessments.queries.wall import PRIMARY, Beside
from assessments.stations.impact import MEASURES
from lessons.models import Phase

UP, DOWN = "up", "down"
ORDERS = ((UP, "Lowest first"), (DOWN, "Highest first"))
BESIDE = (
    (Beside.NOTHING, "nothing"),
    (Beside.PAIRS, "the golfer's other day"),
    (Beside.REFERENCE, "the reference set"),
)


def slug_of(club: Group) -> str:
    """The club in an address: `iron`, `wedge-specialty`."""
    return f"{club.club_class}{'-specialty' if club.is_specialty else ''}"


class WallForm(forms.Form):
    """All of it is optional: what is left out, or cannot be read, is as on a first visit."""

    measure = forms.ChoiceField(
        label="Sorted by", choices=[(kind.name, kind.heading) for kind in MEASURES], required=False
    )
    order = forms.ChoiceField(label="Order", choices=ORDERS, required=False)
    club = forms.ChoiceField(label="Club", required=False)
    phase = forms.ChoiceField(label="Day", choices=Phase.choices, required=False)

    def __init__(self, asked: Any, *, clubs: list[Group]) -> None:
        self._clubs = {slug_of(club): club for club in clubs}
        standard = {
            "measure": PRIMARY.name,
            "order": UP,
            "club": next(iter(self._clubs)),
            "phase": Phase.EXIT.value,
            "with": Beside.NOTHING.value,
        }
        super().__init__(standard | {name: asked[name] for name in standard if name in asked})
        # the address says `with`, which no class can have as a name
        self.fields["with"] = forms.ChoiceField(label="Beside", choices=BESIDE, required=False)
        club = self.fields["club"]
        assert isinstance(club, forms.ChoiceField)
        club.choices = [(slug, one.club) for slug, one in self._clubs.items()]
        self._standard = standard

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("with") == Beside.PAIRS and data.get("phase") == Phase.PRACTICE:
            self.add_error("with", "Practice has no other day. Choose intake or exit.")
        return data

    @property
    def wanted(self) -> dict[str, Any]:
        """What to ask `wall` for."""
        self.is_valid()
        found = self._standard | {name: v for name, v in self.cleaned_data.items() if v}
        return {
            "measure": next(kind for kind in MEASURES if kind.name == found["measure"]),
            "club": self._clubs[found["club"]],
            "phase": Phase(found["phase"]),
            "beside": Beside(found["with"]),
            "is_descending": found["order"] == DOWN,
        }

    def address(self, **changed: str) -> str:
        """The query of this wall, with something changed."""
        found = self.wanted
        parts = {
            "measure": found["measure"].name,
            "order": DOWN if found["is_descending"] else UP,
            "club": slug_of(found["club"]),
            "phase": found["phase"].value,
            "with": found["beside"].value,
        }
        return urlencode(parts | changed)

    @property
    def by_next_measure(self) -> str:
        """The query of the same wall sorted by the measure after this one."""
        names = [kind.name for kind in MEASURES]
        following = names.index(self.wanted["measure"].name) + 1
        return self.address(measure=names[following % len(names)])
