"""The marking page, and what its script is told."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from assessments.actions.recording import filming_words
from assessments.impact.geometry import BALL_DIAMETER_MM
from assessments.impact.landmarks import STILL_THERE, Club, Landmark, needed, number
from assessments.models import Entry, Still
from assessments.queries.entries import session_of
from assessments.queries.markings import start_for
from assessments.queries.stills import entry_of, may_be_filmed
from assessments.stations.base import Payload
from assessments.stations.impact import STATION, club_of
from assessments.stations.impact_settings import settings_of

BEFORE = "before:"
"""What the key of a mark begins with on the page if it is of the frame before the strike."""


@dataclass(frozen=True)
class Sitting:
    """Who marks for what: where the marks go, under which name a draft of them is kept, whether
    the first marks and their values stay out of sight, and where the queue goes on without."""

    record_url: str
    draft: str
    is_unseen: bool = False
    about: str = ""
    pass_over: str = ""


@dataclass(frozen=True)
class Sent:
    """Marks that were sent and refused, and why."""

    errors: list[str] = field(default_factory=list)
    points: dict[str, list[float]] | None = None
    status: int = 200


def mark_page(
    request: HttpRequest, still: Still, sitting: Sitting, sent: Sent | None = None
) -> HttpResponse:
    sent = sent or Sent()
    standing = None if sitting.is_unseen else entry_of(still)
    context = {
        "marking": _told(still, sitting, standing, sent),
        "still": still,
        "golfer_name": still.enrolment.golfer.full_name,
        "session": session_of(still.enrolment, STATION.kind, still.phase),
        "refusal": "" if may_be_filmed(still.enrolment) else filming_words(still.enrolment),
        "errors": sent.errors,
        "pass_over": sitting.pass_over,
        "again_url": f"{_url('still_mark', still)}?again=1" if standing else "",
    }
    return render(request, "assessments/marking/mark.html", context, status=sent.status)


def _told(still: Still, sitting: Sitting, standing: Entry | None, sent: Sent) -> dict[str, Any]:
    """What the script is told. `current` is what stands, `posted` what was refused."""
    settings = settings_of(still)
    camera = settings.get("camera", {})
    start = None if standing or sitting.is_unseen else start_for(still)
    return {
        "still": _picture(still),
        "handedness": still.handedness,
        "club": club_of(still),
        "clickSdPx": settings["click_sd_px"],
        "placementSdMm": settings.get("placement_sd_mm", {}),
        "scalePx": settings.get("scale_px"),
        "scaleSdPx": settings.get("scale_sd_px", 0.0),
        "stepMm": settings.get("step_mm", BALL_DIAMETER_MM),
        "squaresCamera": bool(camera.get("rectangle_long_mm")),
        "landmarks": landmarks_asked(
            club_of(still),
            two_frames=bool(still.picture_before),
            corners=bool(camera.get("rectangle_long_mm")),
        ),
        "current": points_of(standing.payload) if standing else sent.points,
        "posted": sent.points,
        "start": points_of(start.payload) if start else None,
        "startIsOwn": bool(start and start.is_of_same_attendee),
        "isUnseen": sitting.is_unseen,
        "about": sitting.about,
        "draft": sitting.draft,
        "entryId": str(uuid4()),
        "supersedes": str(standing.pk) if standing else None,
        "recordUrl": sitting.record_url,
    }


def _picture(still: Still) -> dict[str, Any]:
    before = _url("still_before_picture", still) if still.picture_before else None
    return {
        "id": str(still.pk),
        "width": still.width_px,
        "height": still.height_px,
        "url": _url("still_picture", still),
        "beforeUrl": before,
    }


def landmarks_asked(club: Club, *, two_frames: bool, corners: bool) -> list[dict[str, Any]]:
    """The landmarks in the order in which they are asked for, each with the list it stands in.

    Of two frames the one before the strike comes first and lends the other what does not move;
    the club head is needed in both. The far corners only help where the rectangle is known.
    """
    marks = [mark for mark in Landmark if _is_of_use(mark, club, corners=corners)]
    required = needed(club, {})
    if not two_frames:
        return [
            *_asked(marks, required, "Needed", "at"),
            *_asked(marks, required, "If they can be seen", "at", is_required=False),
        ]
    both = (*required, Landmark.CLUB_HEAD)
    moving = tuple(mark for mark in both if mark not in STILL_THERE)
    return [
        *_asked(marks, both, "Needed, before the strike", "before"),
        *_asked(marks, moving, "Needed, at the strike", "at"),
        *_asked(marks, moving, "At the strike, if they can be seen", "at", is_required=False),
        *_asked(marks, both, "Before the strike, if they can be seen", "before", is_required=False),
    ]


def _is_of_use(mark: Landmark, club: Club, *, corners: bool) -> bool:
    if mark is Landmark.GROUND_CONTACT:
        return mark in needed(club, {})
    return corners or mark not in (Landmark.GROUND_C, Landmark.GROUND_D)


def _asked(
    marks: Iterable[Landmark],
    required: Iterable[Landmark],
    group: str,
    frame: str,
    *,
    is_required: bool = True,
) -> list[dict[str, Any]]:
    asked = [mark for mark in marks if (mark in required) is is_required]
    return [
        {
            "key": f"{BEFORE if frame == 'before' else ''}{mark}",
            "label": mark.label,
            "where": mark.where,
            "required": is_required,
            "frame": frame,
            "group": group,
        }
        for mark in asked
    ]


def points_of(payload: Payload) -> dict[str, list[float]]:
    """The marks of both frames that a page can show, by the keys of the page."""
    return {
        **_drawable(payload.get("landmarks")),
        **{f"{BEFORE}{k}": p for k, p in _drawable(payload.get("landmarks_before")).items()},
    }


def _drawable(landmarks: object) -> dict[str, list[float]]:
    if not isinstance(landmarks, dict):
        return {}
    return {
        key: position
        for key, position in landmarks.items()
        if key in list(Landmark) and isinstance(position, list) and all(map(_finite, position))
    }


def _finite(value: object) -> bool:
    try:
        return math.isfinite(number(value))
    except (TypeError, OverflowError):
        return False


def _url(name: str, row: Still) -> str:
    return reverse(name, args=[row.pk])
