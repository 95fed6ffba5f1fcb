"""What a comparison of stills leans on: spreads that are assumed, or measured by a study."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from assessments.impact.errors import Doubt
from assessments.impact.pose import CORNERS
from assessments.models import Entry, FilmingPlace, Joints
from assessments.queries.filming import study_in_force
from assessments.statistics.spreads import ONE_FRAME, TWO_FRAMES, Spreads, widest


@dataclass(frozen=True)
class Basis:
    """The spreads that hold for all the stills compared, and what is to be said of them.

    `study` names the study whose spreads of marks they carry. Of every still, `is_two_frames` says
    that it was measured between two frames, `is_protocol` that its joints were marked as well,
    `is_squared` that the camera was corrected for, and `counts_joints` that its ± has the doubt of
    the joints in it. `step_mm` is the school's step, if all stills have the same.
    """

    spreads: Spreads
    study: str = ""
    is_two_frames: bool = False
    is_protocol: bool = False
    is_squared: bool = False
    counts_joints: bool = False
    step_mm: float | None = None
    is_one_place: bool = True
    is_one_marker: bool = True

    @property
    def words(self) -> tuple[str, ...]:
        """What the reader of a comparison has to know, as sentences; usually none."""
        said = []
        if self.is_two_frames:
            said.append(
                gettext("Measured between two frames, at the instant the club meets the ball.")
            )
        if self.is_squared:
            said.append(
                gettext("Where the camera stood was found from the ground and is corrected for.")
            )
        if not self.is_one_place:
            said.append(
                gettext("The stills were not all filmed at one place, so the wider spreads count.")
            )
        if not self.is_one_marker:
            said.append(
                gettext("Different people marked them; how far people differ is counted in.")
            )
        return tuple(said)


def assumed_of(place: FilmingPlace | None, frames: int = 2) -> Spreads:
    """What is assumed of stills of so many frames from the place, by measure. No query."""
    is_marked = place is not None and place.joints == Joints.MARKED
    return TWO_FRAMES if is_marked and frames == 2 else ONE_FRAME


def spreads_for(place: FilmingPlace | None, frames: int = 2) -> Spreads:
    """The spreads that hold there: those of marks measured, once a study of it is in force.

    1 query, none after `queries.filming.with_study`.
    """
    return _measured(place, assumed_of(place, frames))


def basis_of(entries: Iterable[Entry]) -> Basis:
    """What a comparison of these stills leans on. No query if their places are at hand.

    How a still was filmed is read in its entry and not in what the place has become since.
    """
    found = list(entries)
    places = {place.pk if place else None: place for place in map(_place, found)}
    ways = {(place.pk if (place := _place(one)) else None, _is_best(one)) for one in found}
    spreads = [
        _measured(places[key], TWO_FRAMES if is_best else ONE_FRAME)
        for key, is_best in sorted(ways, key=str)
    ]
    steps = {one.payload.get("step_mm") for one in found}
    studies = {_study_name(place) for place in places.values()}
    return Basis(
        widest(spreads) if spreads else ONE_FRAME,
        study=", ".join(sorted(studies)) if all(studies) else "",
        is_two_frames=bool(found) and all(one.payload.get("landmarks_before") for one in found),
        is_protocol=bool(ways) and all(is_best for _, is_best in ways),
        is_squared=bool(found) and all(map(_is_squared, found)),
        counts_joints=bool(found) and all("placement_sd_mm" in one.payload for one in found),
        step_mm=steps.pop() if len(steps) == 1 else None,
        is_one_place=len(places) < 2,
        is_one_marker=len({one.recorded_by_id for one in found}) < 2,
    )


def _place(entry: Entry) -> FilmingPlace | None:
    return entry.still.filming_place if entry.still else None


def _is_best(entry: Entry) -> bool:
    """Two frames near enough in time, joints marked."""
    payload = entry.payload
    is_two = bool(payload.get("landmarks_before")) and Doubt.FRAMES_FAR_APART not in entry.warnings
    return is_two and payload.get("joints") == Joints.MARKED


def _is_squared(entry: Entry) -> bool:
    payload = entry.payload
    marks = {**payload.get("landmarks_before", {}), **payload["landmarks"]}
    is_known = payload.get("camera", {}).get("rectangle_long_mm") is not None
    fits = Doubt.CORNERS_DOUBTFUL not in entry.warnings
    return is_known and fits and all(corner in marks for corner in CORNERS)


def _study_name(place: FilmingPlace | None) -> str:
    study = study_in_force(place) if place else None
    return study.name if study else ""


def _measured(place: FilmingPlace | None, assumed: Spreads) -> Spreads:
    study = study_in_force(place) if place else None
    if study is None:
        return assumed
    return {
        name: replace(
            spread,
            click_sd=study.result[name]["click_sd"],
            rater_sd=study.result[name]["rater_sd"],
            assumed=False,
        )
        if name in study.result
        else spread
        for name, spread in assumed.items()
    }
