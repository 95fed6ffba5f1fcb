"""The marking page alone, over a rendered still and without rows, and what it sends."""

import json
from dataclasses import dataclass, field
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import include, path

from assessments.impact.landmarks import Landmark, needed
from assessments.models import Still
from assessments.views.marking_page import landmarks_asked
from school.guards import public
from tests.assessments.impact.marks import STILLS, rendered

MARKS = ("landmarks", "landmarks_before")
ENTRY = "11111111-1111-4111-8111-111111111111"


@dataclass
class Desk:
    """What the page is given and what it sent; a test sets it and reads it."""

    still_name: str = "01_iron_right_strong"
    before_name: str = ""
    has_corners: bool = False
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
        return {
            "still": {
                "id": self.still_name,
                "width": case["width"],
                "height": case["height"],
                "url": "/picture/",
                "beforeUrl": f"/picture/{self.before_name}/" if self.before_name else None,
            },
            "handedness": case["handedness"],
            "club": case["club"],
            "clickSdPx": 1.5,
            "stepMm": 42.67,
            "landmarks": landmarks_asked(
                case["club"], two_frames=bool(self.before_name), corners=self.has_corners
            ),
            "draft": self.still_name,
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
        sent = request.POST.dict()
        marks = {name: json.loads(sent[name] or "{}") for name in MARKS}
        desk.sent.append({**sent, **marks})
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
def picture(request: HttpRequest, name: str = "") -> FileResponse:
    return FileResponse((STILLS / f"{name or desk.still_name}.jpg").open("rb"))


@public
def done(request: HttpRequest) -> HttpResponse:
    return HttpResponse("Saved")


urlpatterns = [
    path("mark/", mark),
    path("picture/", picture),
    path("picture/<slug:name>/", picture),
    path("done/", done),
    path("", include("school.urls")),  # what the letterhead links to
]
