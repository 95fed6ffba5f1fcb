"""The pictures of stills, for those who may see them.

A browser may keep them and has to ask each time whether it may still show them: a tablet is
handed from one instructor to the next, and a right to see can end.
"""

from __future__ import annotations

from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_GET

from assessments.access import still_to_see
from assessments.models import Entry, Still
from assessments.pictures import overlay_jpeg
from assessments.queries.stills import entry_of, marked_on
from school.guards import account_of, signed_in


@signed_in
@require_GET
def still_picture(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    still = still_to_see(account_of(request), pk)
    return _stored(request, str(still.picture), still.sha256)


@signed_in
@require_GET
def still_before_picture(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """The frame before the strike, where the still has one."""
    still = still_to_see(account_of(request), pk)
    if not still.picture_before:
        raise Http404
    return _stored(request, str(still.picture_before), still.sha256_before)


def _stored(request: HttpRequest, name: str, sha256: str) -> HttpResponseBase:
    tag = f'"{sha256}"'
    unchanged = get_conditional_response(request, etag=tag)
    if unchanged is not None:
        return kept_by_the_browser(unchanged, tag)
    try:
        file = default_storage.open(name)
    except FileNotFoundError as error:
        raise Http404("The file of this still is gone.") from error
    return kept_by_the_browser(FileResponse(file, content_type="image/jpeg"), tag)


@signed_in
@require_GET
def still_overlay(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """The still with its lines drawn: as it stands, or as the entry asked for has it."""
    still = still_to_see(account_of(request), pk)
    entry = _entry_of(request, still)
    tag = f'"{still.sha256}-{entry.pk}"'
    unchanged = get_conditional_response(request, etag=tag)
    if unchanged is not None:
        return kept_by_the_browser(unchanged, tag)
    try:
        drawn = overlay_jpeg(still, entry.payload)
    except FileNotFoundError as error:
        raise Http404("The file of this still is gone.") from error
    return kept_by_the_browser(HttpResponse(drawn, content_type="image/jpeg"), tag)


def _entry_of(request: HttpRequest, still: Still) -> Entry:
    asked = request.GET.get("entry")
    try:
        entry = marked_on(still).filter(pk=asked).first() if asked else entry_of(still)
    except ValidationError:  # no UUID
        entry = None
    if entry is None:
        raise Http404
    return entry


def kept_by_the_browser(response: HttpResponseBase, tag: str) -> HttpResponseBase:
    """A picture that the browser keeps, but asks about each time before it shows it again."""
    response.headers["ETag"] = tag
    response.headers["Cache-Control"] = "private, no-cache"
    return response
