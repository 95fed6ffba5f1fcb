"""The paragraph of the report that only a coach can write. It measures nothing.

Payload: `{"text": "..."}`, 40 to 1200 characters.
"""

from __future__ import annotations

from typing import Any

from django import forms

from assessments.errors import EntryRefused
from assessments.stations.base import Computed, Context, Payload, StationForm, StationModule

SHORTEST, LONGEST = 40, 1200


class ParagraphForm(StationForm):
    text = forms.CharField(
        label="What the golfer should take home",
        widget=forms.Textarea(attrs={"rows": 8, "maxlength": LONGEST}),
        help_text=(
            f"Printed in the report under your name, {SHORTEST} to {LONGEST} characters: "
            "what changed, what to keep doing, what to leave alone."
        ),
    )

    def payload(self) -> Payload:
        return {"text": self.cleaned_data["text"]}

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        return {"text": payload["text"]}


def _compute(payload: Payload, context: Context) -> Computed:
    text = payload.get("text")
    length = len(text.strip()) if isinstance(text, str) else 0
    if not SHORTEST <= length <= LONGEST:
        raise EntryRefused(
            {"text": f"The paragraph has {length} characters; write {SHORTEST} to {LONGEST}."}
        )
    return Computed()


def _words(payload: Payload) -> str:
    return str(payload["text"])


STATION = StationModule(
    kind="coach_paragraph",
    title="Coach’s paragraph",
    form_class=ParagraphForm,
    measures=(),
    compute=_compute,
    detail_template="assessments/stations/coach_paragraph.html",
    words=_words,
)
