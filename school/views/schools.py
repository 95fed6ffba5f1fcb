"""The front desk's schools: the list, a new one, and one school's cohort."""

from zoneinfo import available_timezones

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from school.access import school_for_desk, schools_for_desk
from school.actions.schools import change_capacity, close_school, open_enrolment, open_school
from school.clock import today_at
from school.forms.refusals import attempt
from school.forms.schools import CapacityForm, CloseForm, SchoolForm, defaults_of
from school.guards import account_of, desk_only
from school.models import Programme, School
from school.policy import steps_in_words
from school.queries.cohort import cancelled, cohort, offers, waiting_list
from school.queries.missing import missing_in
from school.queries.money import Sums, school_money
from school.queries.schools import schools_overview
from school.views.telling import told
from school.wording import count_of, format_money


@desk_only
def desk(request: HttpRequest) -> HttpResponse:
    lines = schools_overview(schools_for_desk(account_of(request)))
    return render(request, "school/schools.html", {"lines": lines})


@desk_only
def school_new(request: HttpRequest) -> HttpResponse:
    offered = Programme.objects.filter(is_offered=True).order_by("name")
    chosen = request.GET.get("programme", "")
    named = offered.filter(pk=chosen).first() if chosen.isdecimal() and len(chosen) < 10 else None
    programme = named or offered.first()
    if programme is None:
        return render(request, "school/school_new.html", {"programme": None})
    form = SchoolForm(request.POST or None, initial=defaults_of(programme))
    if request.method == "POST":
        made = attempt(
            form,
            lambda: open_school(
                programme=programme, actor=account_of(request), **form.cleaned_data
            ),
        )
        if made:
            messages.success(request, f"{made} is set up. Open enrolment when its terms are right.")
            return redirect(made)
    context = {
        "form": form,
        "programme": programme,
        "programmes": offered,
        "zones": sorted(available_timezones()),
        "terms": programme,
        "refund_lines": steps_in_words(programme.refund_steps.all()),
    }
    return render(request, "school/school_new.html", context)


@desk_only
def school(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, school_for_desk(account_of(request), pk))


@desk_only
@require_POST
def school_open(request: HttpRequest, pk: int) -> HttpResponse:
    found = school_for_desk(account_of(request), pk)
    with told(request):
        open_enrolment(school=found, actor=account_of(request))
        messages.success(request, "Enrolment is open. Add golfers one by one or import a list.")
    return redirect(found)


@desk_only
@require_POST
def school_capacity(request: HttpRequest, pk: int) -> HttpResponse:
    found = school_for_desk(account_of(request), pk)
    form = CapacityForm(request.POST)
    changed = attempt(
        form,
        lambda: change_capacity(school=found, actor=account_of(request), **form.cleaned_data),
    )
    if changed is None:
        return _page(request, found, capacity=form)
    messages.success(request, f"The school now has {count_of(changed.capacity, 'seat')}.")
    return redirect(found)


@desk_only
@require_POST
def school_close(request: HttpRequest, pk: int) -> HttpResponse:
    found = school_for_desk(account_of(request), pk)
    form = CloseForm(request.POST, school=found, today=today_at(found))
    closed = attempt(
        form,
        lambda: close_school(school=found, actor=account_of(request), **form.cleaned_data),
    )
    if closed is None:
        return _page(request, found, close=form)
    messages.success(request, "The school is closed and its signed reports are being made.")
    return redirect("school_reports", pk)


def _figures(money: Sums, currency: str) -> dict[str, str]:
    """Sums in words; what was let off and paid back only if there was any."""
    let_off, back = money.discounted, money.refunded
    return {
        "charged": format_money(money.charged, currency),
        "paid": format_money(money.paid, currency),
        "due": format_money(money.due, currency),
        "let_off": f"{format_money(let_off, currency)} let off" if let_off else "",
        "paid_back": f"{format_money(back, currency)} paid back" if back else "",
    }


def _page(
    request: HttpRequest,
    found: School,
    *,
    capacity: CapacityForm | None = None,
    close: CloseForm | None = None,
) -> HttpResponse:
    money = school_money(found)
    offered, waiting = offers(found), waiting_list(found)
    counts = {"offered": len(offered), "waiting": len(waiting)}
    context = {
        "school": found,
        "attendees": cohort(found),
        "offered": offered,
        "waiting": waiting,
        "cancelled": cancelled(found),
        "missing": missing_in(found),
        "capacity_words": f"of {found.capacity}",
        "waiting_words": ", ".join(f"{count} {word}" for word, count in counts.items() if count),
        "terms": found,
        "refund_lines": steps_in_words(found.refund_steps.all()),
        **_figures(money, found.currency),
        "capacity_form": capacity or CapacityForm(initial={"capacity": found.capacity}),
        "close_form": close or CloseForm(school=found, today=today_at(found)),
        "close_is_bound": close is not None,
        "capacity_is_bound": capacity is not None,
    }
    return render(request, "school/school.html", context)
