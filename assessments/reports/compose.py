"""From what a report contains to its page, as HTML with the pictures beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.template.loader import render_to_string
from django.utils.formats import date_format
from django.utils.translation import get_language, gettext, gettext_noop, pgettext

from assessments.impact import DEFINITIONS_VERSION
from assessments.impact.geometry import BALL_DIAMETER_MM
from assessments.queries.placings import Placing
from assessments.queries.spreads import Basis
from assessments.reports.gather import Club, ReportContents, Shown
from assessments.reports.pictures import COVER_BALL_PX, PAIR_BALL_PX, draw
from assessments.reports.rows import Row, row_of, titled
from assessments.reports.stations import heads_rows, station_parts
from assessments.stations import registry
from assessments.stations.base import MeasureKind
from assessments.stations.charts import CHANGE_CHART
from assessments.stations.readings import readings
from assessments.units import Units
from school.models import Paper

TEMPLATE = "pdf/report.html"
MOST_POINTS = 3
# What stands at the foot of every page has one line there.
FOOT_LETTERS = 48
# A paragraph up to this long leaves room for notes below it.
SHORT_PARAGRAPH = 300
# What a line of the table of stills holds, and how many lines go beside pictures at their widest.
LETTERS_A_LINE, FEW_LINES = 44, 16


@dataclass(frozen=True)
class Composed:
    """The page, and the pictures it names as `picture:KEY`."""

    html: str
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    paper: str = Paper.A4


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
    def phases(self) -> tuple[str, ...]:
        return tuple(phase for phase in ("intake", "exit") if getattr(self, phase) is not None)

    @property
    def heads_rows(self) -> bool:
        return heads_rows(len(self.rows), 3 - 2 * bool(self.only))

    @property
    def only(self) -> Still | None:
        """The still of the only day that has one."""
        return None if self.intake and self.exit else self.intake or self.exit

    @property
    def room(self) -> str:
        """How much of the leaf the words want: doubts below a still, notes above the table, and
        sentences in it."""
        has_doubts = any(still.shown.doubts for still in (self.intake, self.exit) if still)
        lines = sum(-(-len(row.sentence) // LETTERS_A_LINE) for row in self.rows)
        wants = has_doubts + bool(self.notes) + (lines > FEW_LINES)
        return ("", "wordy", "wordier", "wordier")[wants]


@dataclass(frozen=True)
class Sureness:
    """What all comparisons of stills in a report lean on; the study is named if it holds for all.

    The others hold for all, too (see `Basis`).
    """

    study: str
    is_two_frames: bool
    is_protocol: bool
    counts_joints: bool


def compose(contents: ReportContents) -> Composed:
    """Write the report's page and draw its pictures, in the language that is active.

    Raises
    ------
    StillUnreadable
        If a still cannot be drawn.
    """
    darkroom, units = _Darkroom(), contents.units
    cover = _cover(contents, darkroom)
    clubs = [
        _club_page(number, club, units, contents.placings, darkroom)
        for number, club in enumerate(contents.clubs)
    ]
    ranking, stations = contents.ranking, station_parts(contents)
    context = {
        "report": contents,
        "lang": _lang(),
        "foot": {"golfer": _short(contents.golfer), "school": _short(contents.school)},
        "dates": _dates(contents.starts_on, contents.ends_on),
        "ball_mm": BALL_DIAMETER_MM,
        "chart_template": CHANGE_CHART,
        "definitions": DEFINITIONS_VERSION,
        "cover": cover,
        "headlines": [row_of(finding, units) for finding in contents.headlines],
        "has_room": contents.paragraph is None or len(contents.paragraph.text) < SHORT_PARAGRAPH,
        "clubs": clubs,
        "sure": _sureness(contents.clubs),
        "stations": stations,
        "has_usual": any(part.has_usual for part in stations),
        "strengths": ranking.strengths[:MOST_POINTS],
        "faults": ranking.faults[:MOST_POINTS],
    }
    return Composed(render_to_string(TEMPLATE, context), darkroom.pictures, contents.paper)


def _lang() -> str:
    """The language as a page names it: `en-GB`, `de`."""
    language, _, country = (get_language() or "en-gb").partition("-")
    return f"{language}-{country.upper()}" if country else language


def _short(name: str) -> str:
    return name if len(name) <= FOOT_LETTERS else f"{name[: FOOT_LETTERS - 1].rstrip()}…"


def _dates(first: date, last: date) -> str:
    if first == last:
        return date_format(first, "DATE_FORMAT")
    begins = date_format(first, "DATE_FORMAT")
    if (first.year, first.month) == (last.year, last.month):
        begins = date_format(first, pgettext("the first of two days of one month", "j"))
    return gettext("{first} to {last}").format(first=begins, last=date_format(last, "DATE_FORMAT"))


class _Darkroom:
    """Draws stills and keeps the pictures under the keys by which the page names them."""

    def __init__(self) -> None:
        self.pictures: dict[str, bytes] = {}

    def still(self, key: str, club: Club, phase: str, *, ball_px: float) -> Still | None:
        shown: Shown | None = getattr(club, phase)
        if shown is None:
            return None
        self.pictures[key] = draw(shown.picture, ball_px=ball_px)
        words = _INTAKE_ALT if phase == "intake" else _EXIT_ALT
        side = pgettext("side of a picture", "left")
        if shown.picture.geometry.target_sign > 0:
            side = pgettext("side of a picture", "right")
        read = readings(_drawn(club), shown.measures)
        told = "; ".join(f"{one.title} {one.text}" for one in read)
        alt = gettext(words).format(club=club.group.club, side=side, readings=told)
        return Still(key, alt, phase, club.group.club, shown)


def _drawn(club: Club) -> list[MeasureKind]:
    """The measures of which a still has lines."""
    return [kind for kind in registry()[club.group.kind].measures if kind.name in DRAWN]


DRAWN = ("forearm_line_offset_bd", "grip_line_clearance_bd", "shaft_lean_deg")
_INTAKE_ALT = gettext_noop(
    "Intake still at impact with {club}, filmed face-on, the target to the {side}. Drawn on it are "
    "the lead-forearm line, the grip line and the ground scale. Read from it: {readings}."
)
_EXIT_ALT = gettext_noop(
    "Exit still at impact with {club}, filmed face-on, the target to the {side}. Drawn on it are "
    "the lead-forearm line, the grip line and the ground scale. Read from it: {readings}."
)


def _cover(contents: ReportContents, darkroom: _Darkroom) -> Still | None:
    """The golfer's own still: the exit one of the first club that has one, else an intake one."""
    for phase in ("exit", "intake"):
        for club in contents.clubs:
            still = darkroom.still("cover", club, phase, ball_px=COVER_BALL_PX)
            if still is not None:
                return still
    return None


def _club_page(
    number: int, club: Club, units: Units, placings: Sequence[Placing], darkroom: _Darkroom
) -> ClubPage:
    intake, exit_ = (
        darkroom.still(f"{phase}-{number}", club, phase, ball_px=PAIR_BALL_PX)
        for phase in ("intake", "exit")
    )
    placed = {one.measure.name: one for one in placings if one.group == club.group}
    rows = tuple(row_of(one, units, placed.get(one.measure.name)) for one in club.findings)
    title = titled("Impact", club.group)
    return ClubPage(title, club, intake, exit_, rows, _notes(club, rows))


def _notes(club: Club, rows: tuple[Row, ...]) -> tuple[str, ...]:
    """What has to be known of the comparison, and of a step if any reading is given in steps."""
    basis = _basis(club)
    if basis is None:
        return ()
    is_in_steps = any(side and side.steps for row in rows for side in (row.intake, row.exit))
    if not is_in_steps:
        return basis.words
    step = gettext("One step is {step} mm.").format(step=f"{basis.step_mm:g}")
    return (*basis.words, step)


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
