"""Signing in by a code that is sent by e-mail."""

from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache

from school.actions.sign_in_codes import ask_for_code, redeem_code
from school.forms.refusals import attempt
from school.forms.sign_in import AskForCodeForm, CodeForm
from school.guards import public
from school.models import SignInCode

BACKEND = "django.contrib.auth.backends.ModelBackend"
EMAIL, ONWARD = "code_email", "code_next"


@public
@never_cache
def sign_in_code(request: HttpRequest) -> HttpResponse:
    if request.user.is_authenticated:
        return redirect("home")
    form = AskForCodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        email = str(form.cleaned_data["email"])
        ask_for_code(email=email)
        request.session[EMAIL] = email
        request.session[ONWARD] = request.POST.get("next", "")
        return redirect("sign_in_code_enter")
    context = {"form": form, "next": request.GET.get("next", "")}
    return render(request, "registration/sign_in_code.html", context)


@public
@never_cache
def sign_in_code_enter(request: HttpRequest) -> HttpResponse:
    email = request.session.get(EMAIL)
    if not email:
        return redirect("sign_in_code")
    form = CodeForm(request.POST or None)
    if request.method == "POST":
        account = attempt(form, lambda: redeem_code(email=email, number=form.cleaned_data["code"]))
        if account:
            onward = _safe(request, request.session.get(ONWARD, ""))
            del request.session[EMAIL], request.session[ONWARD]
            login(request, account, backend=BACKEND)
            return redirect(onward or "home")
    minutes = int(SignInCode.LIFE.total_seconds() // 60)
    context = {"form": form, "email": email, "minutes": minutes}
    return render(request, "registration/sign_in_code_enter.html", context)


def _safe(request: HttpRequest, onward: str) -> str:
    """`onward` if it stays on this site, else ''."""
    host = {request.get_host()}
    is_ours = url_has_allowed_host_and_scheme(onward, host, require_https=request.is_secure())
    return onward if is_ours else ""
