"""Every view wears a guard, so that nobody can forget one."""

from collections.abc import Iterator

from django.urls import URLPattern, URLResolver, get_resolver

UNGUARDED_BY_US = "admin/"  # Django's admin checks for itself


def patterns(
    resolver: URLResolver | None = None, prefix: str = ""
) -> Iterator[tuple[str, URLPattern]]:
    for entry in (resolver or get_resolver()).url_patterns:
        route = prefix + str(entry.pattern)
        if isinstance(entry, URLPattern):
            yield route, entry
        elif not route.startswith(UNGUARDED_BY_US):
            yield from patterns(entry, route)


def test_every_view_wears_a_guard() -> None:
    bare = [route for route, entry in patterns() if not hasattr(entry.callback, "guard")]
    assert bare == []


WAYS_IN_AND_OUT = {
    "sign_in",
    "sign_in_code",
    "sign_in_code_enter",
    "sign_out",
    "choose_password",
}
FOR_ANYBODY = {
    "public_schools",
    "public_school",
    "join_start",
    "join_page",
    "join_resume",
    "join_later",
    "join_done",
    "offer_answer",
    "report_by_link",
}
# A processor's server has no sign-in; what it says is signed.
FOR_A_GATEWAY = {"checkout_return", "sandbox"}


def test_only_the_ways_in_and_out_and_enrolling_are_public() -> None:
    public = {
        entry.name for _, entry in patterns() if getattr(entry.callback, "guard", "") == "public"
    }
    assert public == WAYS_IN_AND_OUT | FOR_ANYBODY | FOR_A_GATEWAY
