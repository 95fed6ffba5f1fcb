"""From what a report contains to its page, as HTML with the pictures beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.template.loader import render_to_string

from assessments.impact import DEFINITIONS_VERSION
from assessments.impact.geometry import BALL_DIAMETER_MM
from assessments.impact.words import MEASURE_WORDS, unit_words
from assessments.queries.findings import Finding, Group
from assessments.queries.spreads import Basis
from assessments.reports.gather import Club, ReportContents, Shown, StationResult
from assessments.reports.pictures import COVER_BALL_PX, PAIR_BALL_PX, draw
from assessments.stations.base import Measures, MeasureValue
from assessments.stations.charts import CHANGE_CHART, change_chart
from assessments.stations.readings import Reading, reading

TEMPLATE = "pdf/report.html"
SENTENCES_A_STATION = 2
UNIT_NAMES = {"°": "degrees"}  # a sign alone in a heading is easily missed


@dataclass(frozen=True)
class Composed:
    """The page, and the pictures it names as `picture:KEY`."""

    html: str
    pictures: Mapping[str, bytes]


@dataclass(frozen=True)
class Row:
    """A finding as a line of a table or as a headline."""

    place: str
    title: str
    meaning: str
    unit: str
    intake: Reading | None
    exit: Reading | None
    sentence: str
    chart: dict[str, Any]

    @property
    def in_steps(self) -> str:
        """Both sides in the school's steps on one line; empty where a step is one ball."""
        sides = (side.steps for side in (self.intake, self.exit) if side and side.steps)
        return " to ".join(sides).replace(" steps to ", " to ")


@dataclass(frozen=True)
class Still:
    """A picture of the page with its alternative text and what its caption says."""

    key: str
    alt: str
    phase: str
    club: str
    shown: Shown


@dataclass(frozen=True)
class ClubPage:
    title: str
    club: Club
    intake: Still | None
    exit: Still | None
    rows: tuple[Row, ...]
    notes: tuple[str, ...]

    @property
    def room(self) -> str:
        """How much of the leaf the words want: doubts below a still, and notes above the table."""
        has_doubts = any(still.shown.doubts for still in (self.intake, self.exit) if still)
        return ("", "wordy", "wordier")[has_doubts + bool(self.notes)]


@dataclass(frozen=True)
class Sureness:
    """What all comparisons of stills in a report lean on; the study is named if it holds for all.

    The others hold for all, too (see `Basis`).
    """

    study: str
    is_two_frames: bool
    is_protocol: bool
    counts_joints: bool


@dataclass(frozen=True)
class StationPart:
    title: str
    station: StationResult
    rows: tuple[Row, ...]
    told: tuple[Row, ...]


def compose(contents: ReportContents) -> Composed:
    """Write the report's page and draw its pictures.

    Raises
    ------
    StillUnreadable
        If a still cannot be drawn.
    """
    darkroom = _Darkroom()
    cover = _cover(contents, darkroom)
    clubs = [_club_page(number, club, darkroom) for number, club in enumerate(contents.clubs)]
    context = {
        "report": contents,
        "dates": _dates(contents.starts_on, contents.ends_on),
        "ball_mm": BALL_DIAMETER_MM,
        "chart_template": CHANGE_CHART,
        "definitions": DEFINITIONS_VERSION,
        "cover": cover,
        "headlines": [_row(finding) for finding in contents.headlines],
        "clubs": clubs,
        "sure": _sureness(contents.clubs),
        "stations": [_station_part(station) for station in contents.stations],
    }
    return Composed(render_to_string(TEMPLATE, context), darkroom.pictures)


def _dates(first: date, last: date) -> str:
    if (first.year, first.month) == (last.year, last.month) and first != last:
        return f"{first.day} to {last:%-d %B %Y}"
    return f"{first:%-d %B %Y}" if first == last else f"{first:%-d %B} to {last:%-d %B %Y}"


class _Darkroom:
    """Draws stills and keeps the pictures under the keys by which the page names them."""

    def __init__(self) -> None:
        self.pictures: dict[str, bytes] = {}

    def still(self, key: str, club: Club, phase: str, *, ball_px: float) -> Still | None:
        shown: Shown | None = getattr(club, phase)
        if shown is None:
            return None
        self.pictures[key] = draw(shown.picture, ball_px=ball_px)
        side = "right" if shown.picture.geometry.target_sign > 0 else "left"
        alt = (
            f"{phase.capitalize()} still at impact with {club.group.club}, filmed face-on, the "
            f"target to the {side}. Drawn on it: the lead-forearm line, the grip line and the "
            "ground scale; their readings stand in the table."
        )
        return Still(key, alt, phase, club.group.club, shown)


def _cover(contents: ReportContents, darkroom: _Darkroom) -> Still | None:
    """The golfer's own still: the exit one of the first club that has one, else an intake one."""
    for phase in ("exit", "intake"):
        for club in contents.clubs:
            still = darkroom.still("cover", club, phase, ball_px=COVER_BALL_PX)
            if still is not None:
                return still
    return None


def _club_page(number: int, club: Club, darkroom: _Darkroom) -> ClubPage:
    intake, exit_ = (
        darkroom.still(f"{phase}-{number}", club, phase, ball_px=PAIR_BALL_PX)
        for phase in ("intake", "exit")
    )
    rows = tuple(map(_row, club.findings))
    return ClubPage(_titled("Impact", club.group), club, intake, exit_, rows, _notes(club, rows))


def _notes(club: Club, rows: tuple[Row, ...]) -> tuple[str, ...]:
    """What has to be known of the comparison, and of a step if any reading is given in steps."""
    basis = _basis(club)
    if basis is None:
        return ()
    is_in_steps = any(side and side.steps for row in rows for side in (row.intake, row.exit))
    step = (f"One step is {basis.step_mm:g} mm.",) if is_in_steps else ()
    return (*basis.words, *step)


def _basis(club: Club) -> Basis | None:
    return next((finding.basis for finding in club.findings), None)


def _sureness(clubs: Sequence[Club]) -> Sureness:
    bases = [basis for basis in map(_basis, clubs) if basis is not None]
    studies = {basis.study for basis in bases}
    return Sureness(
        study=", ".join(sorted(studies)) if all(studies) else "",
        is_two_frames=bool(bases) and all(basis.is_two_frames for basis in bases),
        is_protocol=bool(bases) and all(basis.is_protocol for basis in bases),
        counts_joints=bool(bases) and all(basis.counts_joints for basis in bases),
    )


def _station_part(station: StationResult) -> StationPart:
    compared = sorted(
        station.findings, key=lambda finding: (not finding.measure.primary, -finding.weight)
    )
    told = compared[:SENTENCES_A_STATION]
    rows, sentences = tuple(map(_row, station.findings)), tuple(map(_row, told))
    return StationPart(_titled(station.title, station.group), station, rows, sentences)


def _row(finding: Finding) -> Row:
    measure = finding.measure
    intake, exit_ = (side.mean if side else None for side in (finding.intake, finding.exit))
    step = finding.basis.step_mm if finding.basis else None
    before, after = (reading(measure, mean, step) if mean else None for mean in (intake, exit_))
    place = _titled(finding.station_title, finding.group)
    unit = unit_words(measure.unit)
    return Row(
        place=place,
        title=measure.heading,
        meaning=_meaning(measure.name),
        unit=UNIT_NAMES.get(unit, unit),
        intake=before,
        exit=after,
        sentence=finding.sentence,
        chart=change_chart(place, [measure], _only(intake), _only(exit_)),
    )


def _only(mean: MeasureValue | None) -> Measures | None:
    return {mean.name: mean} if mean else None


def _titled(station: str, group: Group) -> str:
    return f"{station}: {group.club}" if group.club else station


def _meaning(name: str) -> str:
    words = MEASURE_WORDS.get(name)
    return f"+ means {words.plus}" if words and words.plus else ""
