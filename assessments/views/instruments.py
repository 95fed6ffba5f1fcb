"""The instruments whose tables can be read: the list, and one of them."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from assessments.actions.instruments import save_instrument
from assessments.forms.flight import InstrumentForm
from assessments.models import Instrument
from assessments.queries.instruments import instrument_lines
from school.forms.refusals import attempt
from school.guards import account_of, desk_or_instructor


@require_GET
@desk_or_instructor
def instruments(request: HttpRequest) -> HttpResponse:
    return render(request, "assessments/flight/instruments.html", {"lines": instrument_lines()})


@require_http_methods(["GET", "POST"])
@desk_or_instructor
def instrument(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Instrument, pk=pk)
    kept = InstrumentForm.data_of(row.columns, row.units, row.side_sign)
    form = InstrumentForm(request.POST or None, initial={"name": row.name, **kept})
    if request.method == "POST" and (saved := attempt(form, lambda: _save(request, row, form))):
        messages.success(request, f"{saved} is changed for tables read from now on.")
        return redirect("instruments")
    context = {"form": form, "instrument": row}
    return render(request, "assessments/flight/instrument.html", context)


def _save(request: HttpRequest, row: Instrument, form: InstrumentForm) -> Instrument:
    reading = form.reading()
    return save_instrument(
        instrument=row,
        name=form.cleaned_data["name"],
        columns=reading.columns,
        units=reading.units,
        side_sign=reading.side_sign,
        actor=account_of(request),
    )
