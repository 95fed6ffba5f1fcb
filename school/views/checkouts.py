"""Paying online: the golfer's page, what a gateway sends back, and the sandbox's own page."""

from decimal import Decimal

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from school.access import enrolment_for_golfer
from school.actions.checkouts import confirm_checkout, start_checkout
from school.bank_csv import payment_reference
from school.errors import CheckoutRefused
from school.forms.cashbook import PartForm
from school.forms.refusals import attempt
from school.guards import account_of, golfer_only, public
from school.middleware import CONTENT_POLICY
from school.models import Account, Checkout
from school.payments.gateway import PaymentGateway, needed_gateway, payment_gateway
from school.payments.sandbox import GATEWAY as SANDBOX
from school.payments.sandbox import answer_url, unsigned
from school.queries.checkouts import parts_of, payments_of
from school.views.telling import told
from school.wording import format_money


@golfer_only
def pay_online(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = enrolment_for_golfer(account_of(request), pk)
    gateway = payment_gateway()
    form = PartForm(request.POST or None)
    if request.method == "POST":
        url = attempt(
            form,
            lambda: start_checkout(
                enrolment=enrolment,
                return_url=request.build_absolute_uri(reverse("checkout_return")),
                actor=account_of(request),
                **form.cleaned_data,
            ),
        )
        if url:
            return redirect(url)
    context = {
        "enrolment": enrolment,
        "school": enrolment.school,
        "parts": parts_of(enrolment),
        "form": form,
        "gateway": gateway,
        "payments": payments_of(enrolment),
        "reference": payment_reference(enrolment.pk),
    }
    response = render(request, "school/cashbook/pay_online.html", context)
    if gateway is not None:
        response.headers["Content-Security-Policy"] = _policy(gateway)
    return response


@csrf_exempt
@public
@require_http_methods(["GET", "POST"])
def checkout_return(request: HttpRequest) -> HttpResponse:
    """The gateway's answer: by the golfer's browser (GET), or by its server's notice (POST).

    Open to anybody, since a server has no sign-in; the gateway proves what is its own. Asking
    twice changes nothing, so a browser may ask again as it likes.
    """
    data = request.POST if request.method == "POST" else request.GET
    if request.method == "POST":
        try:
            _confirmed(data.dict())
        except CheckoutRefused as refused:
            return HttpResponse(str(refused), status=400, content_type="text/plain")
        return HttpResponse(status=204)
    with told(request):
        checkout = _confirmed(data.dict())
        _tell(request, checkout)
        account = request.user
        if isinstance(account, Account) and checkout.enrolment.golfer.account_id == account.pk:
            return redirect("pay_online", checkout.enrolment_id)
    return redirect("home")


@public
@require_http_methods(["GET", "POST"])
def sandbox(request: HttpRequest) -> HttpResponse:
    """The page that stands where a processor's would. It says plainly that it moves no money."""
    if payment_gateway() is not SANDBOX:
        raise Http404
    try:
        asked = unsigned(request.GET.get("asked", ""))
    except CheckoutRefused as refused:
        raise Http404 from refused
    if request.method == "POST":
        return redirect(answer_url(asked, is_paid="pay" in request.POST))
    shown = format_money(Decimal(asked["amount"]), asked["currency"])
    return render(request, "school/cashbook/sandbox.html", {"shown": shown})


def _confirmed(data: dict[str, str]) -> Checkout:
    gateway = needed_gateway()
    return confirm_checkout(outcome=gateway.confirm(data), gateway=gateway.name)


def _tell(request: HttpRequest, checkout: Checkout) -> None:
    amount = format_money(checkout.amount, checkout.enrolment.school.currency)
    if checkout.state == Checkout.State.PAID:
        messages.success(request, f"Thank you: {amount} is recorded. The receipt is below.")
    else:
        messages.warning(request, f"{amount} was not paid. Nothing was recorded.")


def _policy(gateway: PaymentGateway) -> str:
    """The content policy of the page whose form leads to the gateway: browsers hold a form's
    whole way to it, redirects included."""
    if gateway.origin == "'self'":
        return CONTENT_POLICY
    return CONTENT_POLICY.replace("form-action 'self'", f"form-action 'self' {gateway.origin}")
