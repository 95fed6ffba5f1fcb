"""The desk's page of squads: made anew, changed by hand, and what is wished about company."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from lessons.actions.squads import drop_wish, make_squads, move_attendee, swap, wish
from lessons.forms.squads import MoveForm, SwapForm, WishForm
from lessons.models import SquadWish
from lessons.planner.words import listed
from lessons.queries.squad_moves import Change, move_considered, swap_considered
from lessons.queries.squads import squads_page
from school.access import school_for_desk
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.models import School
from school.views.telling import told


@desk_only
@require_GET
def squads(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, school_for_desk(account_of(request), pk))


@desk_only
@require_GET
def squad_check(request: HttpRequest, pk: int) -> HttpResponse:
    """A part of the page: what the move or the exchange that is chosen would do."""
    school = school_for_desk(account_of(request), pk)
    asks_to_swap = "one" in request.GET
    form = (SwapForm if asks_to_swap else MoveForm)(request.GET, school=school)
    change = _considered(school, form) if form.is_valid() else None
    return render(request, "lessons/parts/squad_check.html", {"change": change})


@desk_only
@require_POST
def squad_move(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = MoveForm(request.POST, school=school)
    if not form.is_valid():
        messages.error(request, "Choose an attendee of this school and a squad. Nobody was moved.")
        return redirect("squads", pk)
    enrolment, squad = form.wanted()
    with told(request):
        change = move_attendee(enrolment=enrolment, squad=squad, actor=account_of(request))
        where = squad or "a new squad"
        verb = "are" if len(change.golfers) > 1 else "is"
        messages.success(request, f"{listed(change.golfers)} {verb} in {where} now.")
        _warn(request, change)
    return redirect("squads", pk)


@desk_only
@require_POST
def squad_swap(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = SwapForm(request.POST, school=school)
    change = attempt(form, lambda: swap(**form.cleaned_data, actor=account_of(request)))
    if change is None:
        return _page(request, school, swap_form=form)
    messages.success(request, f"{listed(change.golfers)} are in each other's squads now.")
    _warn(request, change)
    return redirect("squads", pk)


@desk_only
@require_POST
def squads_remake(request: HttpRequest, pk: int) -> HttpResponse:
    """Everybody anew or, where that was asked for, only those without a squad."""
    school = school_for_desk(account_of(request), pk)
    remake = "newcomers" not in request.POST
    with told(request):
        make_squads(school=school, actor=account_of(request), remake=remake)
        words = "Everybody is divided into squads." if remake else "Everybody has a squad now."
        messages.success(request, words)
    return redirect("squads", pk)


@desk_only
@require_POST
def squad_wish(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    form = WishForm(request.POST, school=school)
    made = attempt(form, lambda: wish(**form.cleaned_data, actor=account_of(request)))
    if made is None:
        return _page(request, school, wish_form=form)
    messages.success(request, "Noted. Squads made anew from now on keep to it.")
    return redirect("squads", pk)


@desk_only
@require_POST
def squad_wish_drop(request: HttpRequest, pk: int, wish: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    row = get_object_or_404(
        SquadWish.objects.select_related("one__school", "one__golfer", "other__golfer"),
        one__school=school,
        pk=wish,
    )
    with told(request):
        drop_wish(wish=row, actor=account_of(request))
        messages.success(request, "The wish is dropped. The squads stay as they are.")
    return redirect("squads", pk)


def _considered(school: School, form: MoveForm | SwapForm) -> Change:
    if isinstance(form, SwapForm):
        return swap_considered(school, **form.cleaned_data)
    enrolment, squad = form.wanted()
    return move_considered(school, enrolment, squad.pk if squad else None)


def _warn(request: HttpRequest, change: Change) -> None:
    for words in (*change.warnings, *change.notes):
        messages.warning(request, words)


def _page(
    request: HttpRequest,
    school: School,
    *,
    swap_form: SwapForm | None = None,
    wish_form: WishForm | None = None,
) -> HttpResponse:
    context = {
        "school": school,
        "page": squads_page(school),
        "swap_form": swap_form or SwapForm(school=school, auto_id="swap_%s"),
        "wish_form": wish_form or WishForm(school=school, auto_id="wish_%s"),
    }
    return render(request, "lessons/squads.html", context)
