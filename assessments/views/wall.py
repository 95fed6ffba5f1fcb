"""The impact wall of a school: to choose, to present, to print. Drawn anew each time."""

from __future__ import annotations

import io
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_GET, require_POST
from PIL import Image

from assessments.access import still_on_wall, still_to_export, still_to_keep
from assessments.actions.references import add_reference, remove_reference
from assessments.errors import TileUnreadable
from assessments.forms.wall import WallForm
from assessments.models import Entry, Still
from assessments.pictures import as_jpeg
from assessments.queries import wall as walls
from assessments.queries.stills import entry_of
from assessments.queries.wall import Wall
from assessments.views.pictures import kept_by_the_browser
from assessments.wall import words
from assessments.wall.files import tile_of, whole_still
from assessments.wall.prints import sheet_pdf, sheet_png
from assessments.wall.tiles import LARGE_BALL_PX, SCREEN_BALL_PX
from lessons.access import school_to_teach
from school.clock import today_at
from school.downloads import attachment
from school.guards import account_of, is_front_desk, is_instructor, signed_in
from school.models import School
from school.views.telling import told


@require_GET
@signed_in
def wall(request: HttpRequest, pk: int) -> HttpResponse:
    account = account_of(request)
    school = school_to_teach(account, pk)
    form, shown = _asked(request, school)
    context = {
        **_context(school, form, shown),
        "may_mark": is_instructor(account),
        "is_desk": is_front_desk(account),
        "tab": "wall",
    }
    return render(request, "assessments/wall/wall.html", context)


@require_GET
@signed_in
def wall_present(request: HttpRequest, pk: int) -> HttpResponse:
    """For the projector: large and dark, and nobody's name who did not agree to it."""
    school = school_to_teach(account_of(request), pk)
    form, shown = _asked(request, school)
    return render(request, "assessments/wall/present.html", _context(school, form, shown))


@require_GET
@signed_in
def wall_sheet_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_to_teach(account_of(request), pk)
    form, shown = _asked(request, school)
    with told(request):
        content = sheet_pdf(shown, school, today_at(school))
        return _file(content, "application/pdf", f"{_sheet_name(school, shown)}.pdf")
    return redirect(f"{reverse('wall', args=[pk])}?{form.address()}")


@require_GET
@signed_in
def wall_sheet_png(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_to_teach(account_of(request), pk)
    _, shown = _asked(request, school)
    content = sheet_png(shown, school, today_at(school))
    return _file(content, "image/png", f"{_sheet_name(school, shown)}.png")


@require_GET
@signed_in
def wall_tile(request: HttpRequest, pk: int, still_pk: UUID) -> HttpResponseBase:
    """One still in the frame of the wall; `?large` for the projector.

    The browser may keep it and asks each time whether it may still show it: the answer ends with
    the consent.
    """
    account = account_of(request)
    school_to_teach(account, pk)
    still = still_on_wall(account, still_pk)
    entry = _marked(still)
    is_large = "large" in request.GET
    tag = f'"{still.sha256}-{entry.pk}-{"large" if is_large else "tile"}"'
    unchanged = get_conditional_response(request, etag=tag)
    if unchanged is not None:
        return kept_by_the_browser(unchanged, tag)
    ball_px = LARGE_BALL_PX if is_large else SCREEN_BALL_PX
    try:
        content = as_jpeg(tile_of(still, entry, ball_px=ball_px))
    except TileUnreadable as error:
        raise Http404(str(error)) from error
    return kept_by_the_browser(HttpResponse(content, content_type="image/jpeg"), tag)


@require_GET
@signed_in
def still_export(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The still at its own size with its lines, for those who teach there; no name anywhere."""
    still = still_to_export(account_of(request), pk)
    try:
        drawn = whole_still(still, _marked(still))
    except TileUnreadable as error:
        raise Http404(str(error)) from error
    name = f"Impact, {still.get_club_class_display()}, {still.phase}, {still.pk.hex[:8]}.png"
    return _file(_png(drawn), "image/png", name)


@require_POST
@signed_in
def still_reference(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Keep the still for later schools (`keep`), or take it out of the reference set."""
    account = account_of(request)
    still = still_to_keep(account, pk)
    with told(request):
        if request.POST.get("keep"):
            add_reference(still=still, actor=account)
            messages.success(request, "The still is kept for later schools, without a name.")
        else:
            remove_reference(still=still, actor=account)
            messages.success(request, "The still is no longer in the reference set.")
    back = reverse("wall", args=[still.enrolment.school_id])
    return redirect(f"{back}?{request.POST.get('wall', '')}")


def _asked(request: HttpRequest, school: School) -> tuple[WallForm, Wall]:
    """The wall that the address asks for; the clubs that were filmed are offered first."""
    clubs = dict.fromkeys([*walls.clubs_filmed(school), *walls.all_clubs()])
    form = WallForm(request.GET, clubs=list(clubs))
    return form, walls.wall(school, **form.wanted)


def _context(school: School, form: WallForm, shown: Wall) -> dict[str, object]:
    return {
        "school": school,
        "form": form,
        "wall": shown,
        "hung": words.cards_of(shown, shown.tiles),
        "reference": words.cards_of(shown, shown.reference),
        "apart": words.cards_of(shown, shown.apart),
        "address": form.address(),
        "title": words.title_of(shown),
        "order": words.order_of(shown),
        "explanations": words.explanations(shown),
        "left_out": words.left_out(shown),
        "lines": words.LINES,
    }


def _marked(still: Still) -> Entry:
    entry = entry_of(still)
    if entry is None:
        raise Http404
    return entry


def _png(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def _sheet_name(school: School, shown: Wall) -> str:
    return f"{school.name}, {words.title_of(shown)}"


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    response.headers["Content-Disposition"] = attachment(name)
    response.headers["Cache-Control"] = "private, no-store"
    return response
