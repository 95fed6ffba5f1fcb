"""The bank's lines at the front desk: importing them, and saying whose money each is."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from school.access import bank_line_for_desk
from school.actions.bank import (
    import_bank_lines,
    match_certain,
    match_line,
    set_aside,
    take_up_again,
)
from school.bank_csv import MAX_ROWS, SAMPLE, read_bank
from school.forms.cashbook import MatchForm, WhyForm
from school.forms.imports import BankForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.queries.bank import (
    BankPlan,
    LineWork,
    currencies_in_use,
    dealt_with,
    enrolments_to_match,
    plan_bank_import,
    worklist,
)
from school.wording import count_of, format_money

DEALT_WITH_SHOWN = 20


@desk_only
def bank_import(request: HttpRequest) -> HttpResponse:
    """A dry run first; the second button reads and judges the same table all over again."""
    currencies = currencies_in_use()
    form = BankForm(request.POST or None, request.FILES or None, currencies=currencies)
    plan = attempt(form, lambda: _plan(form)) if request.method == "POST" else None
    if plan and not plan.errors and "confirm" in request.POST:
        done = attempt(
            form,
            lambda: import_bank_lines(
                data=plan.table, currency=plan.currency, actor=account_of(request)
            ),
        )
        if done:
            messages.success(request, f"Imported: {count_of(len(done.new), 'line')}.")
            return redirect("bank_match")
    if plan and form.is_valid():
        initial = {"lines": plan.table, "currency": plan.currency}
        form = BankForm(initial=initial, currencies=currencies)
    context = {"form": form, "plan": plan, "sample": SAMPLE, "most": MAX_ROWS}
    return render(request, "school/cashbook/bank_import.html", context)


@desk_only
def bank_match(request: HttpRequest) -> HttpResponse:
    return _page(request)


@desk_only
@require_POST
def bank_match_one(request: HttpRequest, pk: int) -> HttpResponse:
    line = bank_line_for_desk(account_of(request), pk)
    form = MatchForm(request.POST, line=line)
    entry = attempt(
        form,
        lambda: match_line(
            line=line, enrolment=form.cleaned_data["who"], actor=account_of(request)
        ),
    )
    if entry is None:
        return _page(request, match=(pk, form))
    amount = format_money(line.amount, line.currency)
    messages.success(request, f"{amount} from {entry.enrolment.golfer} is recorded.")
    return redirect("bank_match")


@desk_only
@require_POST
def bank_match_certain(request: HttpRequest) -> HttpResponse:
    shown = set(map(_pair, request.POST.getlist("pair")))
    done = match_certain(shown=shown, actor=account_of(request))
    messages.success(request, f"Recorded: {count_of(len(done), 'payment')}.")
    if len(done) < len(shown):
        left = count_of(len(shown) - len(done), "line was", "lines were")
        messages.warning(
            request, f"{left} left: somebody else was quicker, or it is less sure now."
        )
    return redirect("bank_match")


@desk_only
@require_POST
def bank_set_aside(request: HttpRequest, pk: int) -> HttpResponse:
    line = bank_line_for_desk(account_of(request), pk)
    form = WhyForm(request.POST, auto_id=f"aside_{pk}_%s")
    done = attempt(
        form, lambda: set_aside(line=line, actor=account_of(request), **form.cleaned_data)
    )
    if done is None:
        return _page(request, aside=(pk, form))
    messages.success(request, "The line is set aside. It can be taken up again below.")
    return redirect("bank_match")


@desk_only
@require_POST
def bank_take_up(request: HttpRequest, pk: int) -> HttpResponse:
    line = bank_line_for_desk(account_of(request), pk)
    form = WhyForm(request.POST, auto_id=f"again_{pk}_%s")
    done = attempt(
        form, lambda: take_up_again(line=line, actor=account_of(request), **form.cleaned_data)
    )
    if done is None:
        return _page(request, again=(pk, form))
    messages.success(request, "The line waits again. What it had paid is reversed.")
    return redirect("bank_match")


Refused = tuple[int, Form] | None


@dataclass(frozen=True)
class LineForms:
    """A waiting line and what can be done with it."""

    work: LineWork
    match: Form
    aside: Form


def _page(
    request: HttpRequest, *, match: Refused = None, aside: Refused = None, again: Refused = None
) -> HttpResponse:
    """The page, with the form that was just refused in place of its empty one."""
    works = worklist()
    context: dict[str, Any] = {
        "works": [
            LineForms(
                work,
                _refused(match, work.line.pk) or MatchForm(line=work.line),
                _refused(aside, work.line.pk) or WhyForm(auto_id=f"aside_{work.line.pk}_%s"),
            )
            for work in works
        ],
        "certain": [work.certain for work in works if work.certain],
        "choices": [
            (currency, list(enrolments_to_match(currency)))
            for currency in dict.fromkeys(work.line.currency for work in works)
        ],
        "done": [
            (line, _refused(again, line.pk) or WhyForm(auto_id=f"again_{line.pk}_%s"))
            for line in dealt_with(DEALT_WITH_SHOWN)
        ],
    }
    return render(request, "school/cashbook/bank_match.html", context)


def _plan(form: BankForm) -> BankPlan:
    return plan_bank_import(read_bank(form.content(), currency=form.cleaned_data["currency"]))


def _refused(refused: Refused, pk: int) -> Form | None:
    return refused[1] if refused and refused[0] == pk else None


def _key(typed: str) -> int:
    """A key from a hidden field; 0, which nothing has, for what is none."""
    return int(typed) if typed.isdecimal() and len(typed) < 19 else 0


def _pair(typed: str) -> tuple[int, int]:
    line, _, enrolment = typed.partition(":")
    return _key(line), _key(enrolment)
