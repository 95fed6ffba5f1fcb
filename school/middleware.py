"""Headers every answer carries."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

CONTENT_POLICY = (
    "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)

Handler = Callable[[HttpRequest], HttpResponseBase]


def content_policy(get_response: Handler) -> Handler:
    """Let a page load nothing from another host and run no inline script."""

    def add_header(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
        return response

    return add_header


def private_pages(get_response: Handler) -> Handler:
    """Let no cache keep a page, unless its view knows better.

    Pages are about people, minors among them, and a tablet is handed from one to the next. What
    is for everybody is served before this.
    """

    def add_header(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        response.headers.setdefault("Cache-Control", "private, no-store")
        return response

    return add_header
