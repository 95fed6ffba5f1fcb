"""A coach's note, as of a video that was looked through, with a tag and maybe a still beside it.

It measures nothing and is not printed: it is for the coaches of the school, and for its golfer.

Payload: `{"text": "...", "tag": "turn"}`, with a tag of `TAGS` and at most 1000 words.
"""

from __future__ import annotations

from typing import Any

from django import forms

from assessments.errors import EntryRefused
from assessments.stations.base import Computed, Context, Payload, StationForm, StationModule

MOST_WORDS = 1000
TAGS = {
    "set_up": "set-up",
    "turn": "turn",
    "strike": "strike",
    "tempo": "tempo",
    "short_game": "short game",
    "putting": "putting",
    "course": "on the course",
    "health": "health",
    "other": "something else",
}


class NoteForm(StationForm):
    tag = forms.ChoiceField(label="What it is about", choices=tuple(TAGS.items()), initial="strike")
    text = forms.CharField(
        label="What you see",
        widget=forms.Textarea(
            attrs={
                "rows": 10,
                "autocapitalize": "sentences",
                "spellcheck": "true",
                "data-most-words": MOST_WORDS,
            }
        ),
        help_text="Speak it or type it. The golfer can read it.",
    )

    def payload(self) -> Payload:
        return {"text": self.cleaned_data["text"], "tag": self.cleaned_data["tag"]}

    @classmethod
    def initial_from(cls, payload: Payload) -> dict[str, Any]:
        return {"text": payload["text"], "tag": payload["tag"]}


def _compute(payload: Payload, context: Context) -> Computed:
    text, wrong = payload.get("text"), {}
    words = len(text.split()) if isinstance(text, str) else 0
    if not words:
        wrong["text"] = "There is nothing in the note yet."
    elif words > MOST_WORDS:
        wrong["text"] = f"The note has {words} words; it takes {MOST_WORDS}. Make two of it."
    if payload.get("tag") not in list(TAGS):
        wrong["tag"] = "Say what the note is about."
    if wrong:
        raise EntryRefused(wrong)
    return Computed()


def _details(payload: Payload) -> dict[str, Any]:
    return {"tag": TAGS[payload["tag"]]}


STATION = StationModule(
    kind="video_note",
    title="Coach’s note",
    form_class=NoteForm,
    measures=(),
    compute=_compute,
    details=_details,
    detail_template="assessments/stations/video_note.html",
    repeats=True,
    takes_still=True,
    anywhere=True,
)
