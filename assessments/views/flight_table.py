"""Ball flight from an instrument's table: the file, its columns, a look at the shots, the record.

The table travels in the form as text, so that nothing of it is kept before it is recorded and
nothing is lost by a refusal.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from assessments.access import StationPlace, station_to_record
from assessments.actions.entries import fingerprint
from assessments.actions.flight import Recorded, record_table
from assessments.actions.instruments import save_instrument
from assessments.flight_csv import SAMPLE, ShotSheet, Table, read_shots, read_table
from assessments.forms.flight import ClubsForm, ColumnsForm, FlightTableForm
from assessments.forms.sent import whole_number
from assessments.models import Instrument
from assessments.queries.instruments import reading_of, saved_headings
from assessments.stations.base import Payload
from assessments.stations.flight_shots import ClubShots, clubs_in, shots_by_club
from assessments.views.notices import warn_if_closed
from school.errors import ImportRefused
from school.forms.refusals import attempt
from school.golfer_csv.decode import decode
from school.guards import account_of, instructor_only
from school.wording import count_of

PAGE = "flight_table"
COOKIE, COOKIE_SECONDS = "instrument", 400 * 24 * 60 * 60


@dataclass
class Sitting:
    """How far a table has come: read, its columns known, its clubs known, its shots judged."""

    form: FlightTableForm
    table: Table | None = None
    columns: ColumnsForm | None = None
    clubs: ClubsForm | None = None
    sheet: ShotSheet | None = None
    groups: list[ClubShots] = field(default_factory=list)

    @property
    def payloads(self) -> list[Payload]:
        return [payload for group in self.groups for payload in group.payloads]

    @property
    def good(self) -> int:
        return sum(group.good for group in self.groups)

    @property
    def seen(self) -> str:
        """A mark of the shots that are shown: nothing else is recorded."""
        return fingerprint({"payloads": self.payloads})


@instructor_only
@require_http_methods(["GET", "POST"])
def flight_table(
    request: HttpRequest, session_pk: int, enrolment_pk: int, kind: str
) -> HttpResponse:
    place = station_to_record(account_of(request), session_pk, enrolment_pk, kind)
    if place.station.import_url_name != PAGE:
        raise Http404
    if request.method == "GET":
        last = whole_number(request.COOKIES.get(COOKIE, ""))
        known = Instrument.objects.filter(pk=last).first()
        return _page(request, place, Sitting(FlightTableForm(initial={"instrument": known})))
    sitting = _sitting(request)
    do = request.POST.get("do")
    if do == "keep" and sitting.sheet is not None:
        _keep(request, sitting)
    elif do == "record" and sitting.clubs is not None:
        recorded = _record(request, place, sitting)
        if recorded is not None:
            _say(request, place, sitting, recorded)
            answer = redirect("entry_new", session_pk, enrolment_pk, kind)
            return _remembering(answer, sitting)
    return _remembering(_page(request, place, sitting), sitting)


def _sitting(request: HttpRequest) -> Sitting:
    """Everything that was sent, as far as each step follows from the one before."""
    sent = FlightTableForm(request.POST, request.FILES)
    decoded = attempt(sent, lambda: decode(sent.content()))
    if decoded is None:
        return Sitting(sent)
    text, notes = decoded
    sitting = Sitting(FlightTableForm({**request.POST.dict(), "table": text}))
    sitting.table = attempt(sitting.form, lambda: read_table(text, saved=saved_headings()))
    if sitting.table is None:
        return sitting
    for words in notes:
        messages.warning(request, words)
    is_first = request.POST.get("do") == "read"
    typed: Any = _first_reading(sitting, sitting.table) if is_first else request.POST
    sitting.columns = ColumnsForm(typed, headings=sitting.table.headings)
    if not sitting.columns.is_valid():
        if is_first:  # nobody has said anything yet that could be wrong
            sitting.columns = ColumnsForm(initial=typed, headings=sitting.table.headings)
        return sitting
    _judge(sitting, sitting.table, sitting.columns, {} if is_first else request.POST.dict())
    return sitting


def _first_reading(sitting: Sitting, table: Table) -> dict[str, Any]:
    instrument = sitting.form.cleaned_data["instrument"]
    reading = reading_of(table, instrument)
    return {
        **ColumnsForm.data_of(reading.columns, reading.units, reading.side_sign),
        "instrument_name": instrument.name if instrument else "",
    }


def _judge(sitting: Sitting, table: Table, columns: ColumnsForm, typed: dict[str, Any]) -> None:
    reading = columns.reading()
    sitting.sheet = read_shots(table, reading)
    names = clubs_in(sitting.sheet)
    chosen = ClubsForm.data_of(names, typed)
    sitting.clubs = ClubsForm(chosen, clubs=names)
    if sitting.clubs.is_valid():
        sitting.groups = shots_by_club(sitting.sheet, reading, sitting.clubs.codes())
    elif not typed:
        sitting.clubs = ClubsForm(initial=chosen, clubs=names)


def _keep(request: HttpRequest, sitting: Sitting) -> None:
    """Keep the columns under the name that was typed: of the instrument chosen, or of a new one."""
    columns, chosen = sitting.columns, sitting.form.cleaned_data["instrument"]
    assert columns is not None  # there is a sheet only of valid columns
    reading, name = columns.reading(), columns.cleaned_data["instrument_name"]
    if not name:
        columns.add_error("instrument_name", "Give the instrument a name.")
        return
    is_same = chosen is not None and chosen.name.casefold() == name.casefold()
    kept = attempt(
        columns,
        lambda: save_instrument(
            instrument=chosen if is_same else None,
            name=name,
            columns=reading.columns,
            units=reading.units,
            side_sign=reading.side_sign,
            actor=account_of(request),
        ),
    )
    if kept is not None:
        messages.success(request, f"{kept} is kept: its next table is read the same way.")
        sitting.form = FlightTableForm({**sitting.form.data, "instrument": str(kept.pk)})
        sitting.form.is_valid()


def _record(request: HttpRequest, place: StationPlace, sitting: Sitting) -> Recorded | None:
    def record() -> Recorded:
        if not sitting.payloads:
            raise ImportRefused("There is no shot here that can be recorded.")
        if request.POST.get("seen") != sitting.seen:
            raise ImportRefused(
                "The shots are read differently now. Look through them below, then record them."
            )
        return record_table(
            enrolment=place.enrolment,
            session=place.session,
            kind=place.station.kind,
            payloads=sitting.payloads,
            recorded_by=account_of(request),
        )

    assert sitting.clubs is not None
    return attempt(sitting.clubs, record)


def _say(request: HttpRequest, place: StationPlace, sitting: Sitting, recorded: Recorded) -> None:
    shots, clubs = count_of(sitting.good, "shot"), len([g for g in sitting.groups if g.good])
    words = f"{shots} of {place.enrolment.golfer} with {count_of(clubs, 'club')}"
    if recorded.known == len(recorded.entries):
        messages.info(request, f"{words} were recorded before; nothing is doubled.")
        return
    before = " What was recorded before is not doubled." if recorded.known else ""
    messages.success(request, f"{words}: recorded.{before}")
    warn_if_closed(request, recorded.entries[0])


def _page(request: HttpRequest, place: StationPlace, sitting: Sitting) -> HttpResponse:
    context = {
        "place": place,
        "sitting": sitting,
        "form": sitting.form,
        "refused": next((f for f in _forms(sitting) if f.is_bound and f.errors), None),
        "sample": SAMPLE,
    }
    return render(request, "assessments/flight/table.html", context)


def _forms(sitting: Sitting) -> list[Any]:
    return [form for form in (sitting.form, sitting.columns, sitting.clubs) if form is not None]


def _remembering(answer: HttpResponse, sitting: Sitting) -> HttpResponse:
    """The answer, by which this device knows the instrument again."""
    chosen = getattr(sitting.form, "cleaned_data", {}).get("instrument")
    if chosen is not None:
        answer.set_cookie(
            COOKIE,
            str(chosen.pk),
            max_age=COOKIE_SECONDS,
            httponly=True,
            samesite="Lax",
            secure=settings.SESSION_COOKIE_SECURE,
        )
    return answer
