"""The marking page alone, over a rendered still and without rows, and what it sends."""

import json
from dataclasses import dataclass, field
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import include, path

from assessments.impact.landmarks import Landmark, needed
from assessments.models import Still
from school.guards import public
from tests.assessments.impact.marks import STILLS, rendered

ENTRY = "11111111-1111-4111-8111-111111111111"


@dataclass
class Desk:
    """What the page is given and what it sent; a test sets it and reads it."""

    still_name: str = "01_iron_right_strong"
    more: dict[str, Any] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)
    sent: list[dict[str, Any]] = field(default_factory=list)

    @property
    def case(self) -> dict[str, Any]:
        return rendered(self.still_name)

    @property
    def points(self) -> dict[str, list[float]]:
        points: dict[str, list[float]] = self.case["landmarks_px"]
        return points

    @property
    def required(self) -> list[str]:
        return [key.value for key in Landmark if key in needed(self.case["club"], {})]

    @property
    def size(self) -> tuple[int, int]:
        return self.case["width"], self.case["height"]

    def context(self) -> dict[str, Any]:
        case = self.case
        required = needed(case["club"], {})
        marks = [m for m in Landmark if m is not Landmark.GROUND_CONTACT or m in required]
        return {
            "still": {
                "id": self.still_name,
                "width": case["width"],
                "height": case["height"],
                "url": "/picture/",
            },
            "handedness": case["handedness"],
            "club": case["club"],
            "clickSdPx": 1.5,
            "stepMm": 42.67,
            "landmarks": [
                {"key": m, "label": m.label, "where": m.where, "required": m in required}
                for m in marks
            ],
            "current": None,
            "entryId": ENTRY,
            "supersedes": None,
            "recordUrl": "/mark/",
            **self.more,
        }


desk = Desk()


@public
def mark(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        desk.sent.append(
            {**request.POST.dict(), "landmarks": json.loads(request.POST["landmarks"])}
        )
        if not desk.errors:
            return HttpResponseRedirect("/done/")
    still = Still(phase="intake", club_class=desk.case["club"], handedness=desk.case["handedness"])
    context = {
        "marking": desk.context(),
        "errors": desk.errors,
        "still": still,
        "golfer_name": "Gail Golfer",
    }
    return render(request, "assessments/marking/mark.html", context)


@public
def picture(request: HttpRequest) -> FileResponse:
    return FileResponse((STILLS / f"{desk.still_name}.jpg").open("rb"))


@public
def done(request: HttpRequest) -> HttpResponse:
    return HttpResponse("Saved")


urlpatterns = [
    path("mark/", mark),
    path("picture/", picture),
    path("done/", done),
    path("", include("school.urls")),  # what the letterhead links to
]
