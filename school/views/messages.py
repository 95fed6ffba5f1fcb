"""The outbox at the front desk, and the golfer's calendar file."""

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from school.access import enrolment_for_golfer, message_for_desk
from school.actions.messages import calendar_for, mark_bounced, send_again
from school.forms.messages import BounceForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only, golfer_only
from school.models import Enrolment
from school.queries.messages import STANDING, line_of, pile_of, piles
from school.views.telling import told

A_PAGE = 50


@require_GET
@desk_only
def outbox(request: HttpRequest) -> HttpResponse:
    counted = piles()
    first_full = next((pile.name for pile in counted if pile.count), "sent")
    shown = request.GET.get("show", "")
    shown = shown if shown in STANDING else first_full
    page = Paginator(pile_of(shown), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "piles": counted,
        "shown": shown,
        "page": page,
        "lines": [line_of(message) for message in page],
        "folder": settings.EMAIL_FILE_PATH if settings.EMAIL_IN_FILES else "",
    }
    return render(request, "school/messages/outbox.html", context)


@desk_only
def message(request: HttpRequest, pk: int) -> HttpResponse:
    """One message: what it said, what became of it, and the note that it came back."""
    row = message_for_desk(account_of(request), pk)
    form = BounceForm(request.POST or None)
    if request.method == "POST":
        done = attempt(
            form,
            lambda: mark_bounced(
                message=row, why=form.cleaned_data["why"], actor=account_of(request)
            ),
        )
        if done:
            messages.success(request, f"It is noted that the message to {row.to} came back.")
            return redirect("message", pk)
    context = {"line": line_of(row), "form": form}
    return render(request, "school/messages/message.html", context)


@require_POST
@desk_only
def message_again(request: HttpRequest, pk: int) -> HttpResponse:
    row = message_for_desk(account_of(request), pk)
    with told(request):
        sent = send_again(message=row, actor=account_of(request))
        messages.success(request, f"“{sent.subject}” goes to {sent.to} again.")
        return redirect("message", sent.pk)
    return redirect("message", pk)


@require_GET
@golfer_only
def my_calendar(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_golfer(account_of(request), pk)
    if enrolment.state not in (Enrolment.State.SEATED, Enrolment.State.CANCELLED):
        raise Http404  # there are no days to come to yet
    return HttpResponse(
        calendar_for(enrolment),
        content_type="text/calendar; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="school.ics"'},
    )
