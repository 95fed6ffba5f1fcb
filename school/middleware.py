"""Headers every answer carries, and where somebody goes who must sign in first."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponseBase, HttpResponseRedirect
from django.urls import reverse

CONTENT_POLICY = (
    "default-src 'self'; img-src 'self' blob: data:; media-src 'self' blob:; object-src 'none'; "
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


class SignInFirst(LoginRequiredMiddleware):
    """Lead somebody whose session ended back to the page they were on.

    What was sent by a button has an address of its own that no page stands at.
    """

    def handle_no_permission(self, request: HttpRequest, view_func: Any) -> HttpResponseRedirect:
        if request.method in ("GET", "HEAD"):
            return super().handle_no_permission(request, view_func)
        page = urlsplit(request.headers.get("Referer", ""))
        is_ours = page.netloc == request.get_host()
        return redirect_to_login(page.path if is_ours else reverse("home"), reverse("sign_in"))
