"""What is known of a filming place, as a form."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from assessments.models import FilmingPlace, Joints

if TYPE_CHECKING:
    PlaceForm = forms.ModelForm[FilmingPlace]
else:
    PlaceForm = forms.ModelForm

RECTANGLE = ("rectangle_long_mm", "rectangle_wide_mm", "rectangle_behind_mm")
# What a tape measure gives, in millimetres; outside it, metres or centimetres were typed.
LENGTHS_MM = {
    "camera_distance_mm": (1000, 30_000),
    "camera_height_mm": (100, 5000),
    "rectangle_long_mm": (200, 10_000),
    "rectangle_wide_mm": (100, 10_000),
    "rectangle_behind_mm": (-10_000, 10_000),
}


class FilmingPlaceForm(PlaceForm):
    """Every setting of a place; what nobody measured stays empty."""

    class Meta:
        model = FilmingPlace
        fields = (
            *("name", "is_in_use", "joints", "click_sd_px", "step_mm"),
            *("is_camera_fixed", "is_camera_level", "frames_a_second"),
            *LENGTHS_MM,
        )
        widgets = {"joints": forms.RadioSelect}
        labels = {
            "name": "Name",
            "joints": "Elbow and wrist are",
            "click_sd_px": "Error of one click, in pixels",
            "step_mm": "One step is, in mm",
            "is_camera_fixed": "The camera stays where it is",
            "is_camera_level": "The camera is levelled",
            "frames_a_second": "Frames a second",
            "camera_distance_mm": "Distance, ball to lens, in mm",
            "camera_height_mm": "Height of the lens above the ground, in mm",
            "rectangle_long_mm": "Along the target line, in mm",
            "rectangle_wide_mm": "Across it, in mm",
            "rectangle_behind_mm": "Near side behind the ball, in mm",
            "is_in_use": "In use",
        }
        help_texts = {
            "click_sd_px": "How far one careful click lies off, to the side or up and down.",
            "step_mm": "What the school calls one step on the ground. One ball is 42.67 mm.",
            "is_camera_fixed": "One scale then serves all stills of a day.",
            "is_camera_level": "By a spirit level or a plumb line; a stick is no level.",
            "frames_a_second": "Under 120 the instant between two frames is less sure.",
            "rectangle_behind_mm": "With a minus if it lies between ball and camera.",
            "is_in_use": "Without it the place is no longer offered for new stills.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        joints = self.fields["joints"]
        assert isinstance(joints, forms.ChoiceField)
        joints.choices = Joints.choices
        for name, (least, most) in LENGTHS_MM.items():
            words = f"A number from {least} to {most}: it is in millimetres, 1 m is 1000."
            self.fields[name].validators += [
                MinValueValidator(least, words),
                MaxValueValidator(most, words),
            ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if any(data.get(name) is not None for name in RECTANGLE):
            for name in (*RECTANGLE, "camera_distance_mm"):
                if data.get(name) is None and not self.has_error(name):
                    self.add_error(name, "The rectangle serves only with this as well.")
        return data
