"""The cashbook: its first page, closing days, and what instructors are owed."""

from datetime import date

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from school.access import pay_entry_for_owner
from school.actions.days import close_day
from school.actions.pay import record_earned, record_paid, reverse_pay
from school.forms.cashbook import CloseDayForm, DayForm, PayForm, WhyForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only, is_owner, owner_only
from school.models import PayEntry
from school.queries.bank import currencies_in_use
from school.queries.cashbook import cashbook_page
from school.queries.days import closed_days, day_books, house_today, house_zone
from school.queries.pay import owed_by_currency, pay_lines, pay_rows
from school.wording import format_money


@desk_only
def cashbook(request: HttpRequest) -> HttpResponse:
    context = {"page": cashbook_page(), "is_owner": is_owner(account_of(request))}
    return render(request, "school/cashbook/cashbook.html", context)


@desk_only
def day_close(request: HttpRequest) -> HttpResponse:
    """A preview of the day asked for; pressing the button closes it in one currency."""
    if request.method == "POST":
        closing = CloseDayForm(request.POST)
        done = attempt(
            closing, lambda: close_day(actor=account_of(request), **closing.cleaned_data)
        )
        if done:
            messages.success(request, f"{done.day:%-d %B %Y} is closed in {done.currency}.")
            return redirect(f"{reverse('day_close')}?day={done.day}")
        messages.error(request, " ".join(map(str, closing.non_field_errors())) or "Choose a day.")
        return _day_page(request, DayForm(request.POST))
    asked = DayForm(request.GET if "day" in request.GET else {"day": f"{house_today()}"})
    return _day_page(request, asked)


@owner_only
def pay(request: HttpRequest) -> HttpResponse:
    form = PayForm(request.POST or None)
    if request.method == "POST":
        entry = attempt(form, lambda: _record(form, request))
        if entry:
            amount = format_money(abs(entry.amount), entry.school.currency)
            verb = "earned" if entry.amount > 0 else "was paid"
            messages.success(request, f"{entry.staff} {verb} {amount}: recorded.")
            return redirect("pay")
    return _pay_page(request, form)


@owner_only
@require_POST
def pay_reverse(request: HttpRequest, pk: int) -> HttpResponse:
    entry = pay_entry_for_owner(account_of(request), pk)
    form = WhyForm(request.POST, auto_id=f"reverse_{pk}_%s")
    done = attempt(
        form, lambda: reverse_pay(entry=entry, actor=account_of(request), **form.cleaned_data)
    )
    if done is None:
        return _pay_page(request, PayForm(), refused=(pk, form))
    messages.success(request, "The entry is reversed. Both stay in the book.")
    return redirect("pay")


def _record(form: PayForm, request: HttpRequest) -> PayEntry:
    act = record_earned if form.cleaned_data["kind"] == "earned" else record_paid
    return act(actor=account_of(request), **form.entry())


def _pay_page(
    request: HttpRequest, form: PayForm, *, refused: tuple[int, Form] | None = None
) -> HttpResponse:
    lines = pay_lines()
    context = {
        "form": form,
        "lines": lines,
        "owed": owed_by_currency(lines),
        "zone": house_zone(),
        "rows": [
            (row, refused[1] if refused and refused[0] == row.entry.pk else _why(row.entry.pk))
            for row in pay_rows()
        ],
    }
    return render(request, "school/cashbook/pay.html", context)


def _why(pk: int) -> WhyForm:
    return WhyForm(auto_id=f"reverse_{pk}_%s")


def _day_page(request: HttpRequest, form: DayForm) -> HttpResponse:
    day: date = form.cleaned_data["day"] if form.is_valid() else house_today()
    context = {
        "form": form,
        "day": day,
        "is_over": day < house_today(),
        "is_ahead": day > house_today(),
        "books": day_books(day, currencies_in_use()),
        "closed": closed_days(),
        "zone": house_zone(),
    }
    return render(request, "school/cashbook/day_close.html", context)
