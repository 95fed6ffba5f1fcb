from django.contrib.auth.views import LoginView, LogoutView, PasswordResetConfirmView
from django.urls import URLPattern, path

from school.forms.accounts import ChoosePasswordForm, SignInForm
from school.guards import public, signed_in
from school.views import attendees, enrolment, schools
from school.views.home import home

urlpatterns: list[URLPattern] = [
    path("", signed_in(home), name="home"),
    path(
        "sign-in/",
        public(
            LoginView.as_view(
                template_name="registration/sign_in.html",
                authentication_form=SignInForm,
                redirect_authenticated_user=True,
            )
        ),
        name="sign_in",
    ),
    path("sign-out/", public(LogoutView.as_view()), name="sign_out"),
    path(
        "choose-password/<uidb64>/<token>/",
        public(
            PasswordResetConfirmView.as_view(
                template_name="registration/choose_password.html",
                form_class=ChoosePasswordForm,
                post_reset_login=True,
                success_url="/",
            )
        ),
        name="choose_password",
    ),
    path("schools/", schools.desk, name="desk"),
    path("schools/new/", schools.school_new, name="school_new"),
    path("schools/<int:pk>/", schools.school, name="school"),
    path("schools/<int:pk>/open/", schools.school_open, name="school_open"),
    path("schools/<int:pk>/capacity/", schools.school_capacity, name="school_capacity"),
    path("schools/<int:pk>/close/", schools.school_close, name="school_close"),
    path("schools/<int:pk>/enrol/", enrolment.school_enrol, name="school_enrol"),
    path("schools/<int:pk>/import/", enrolment.school_import, name="school_import"),
    path("attendees/<int:pk>/", attendees.attendee, name="enrolment"),
    path("attendees/<int:pk>/details/", attendees.golfer_edit, name="golfer_edit"),
    path("attendees/<int:pk>/cancel/", attendees.enrolment_cancel, name="enrolment_cancel"),
    path("attendees/<int:pk>/payments/", attendees.payment_add, name="payment_add"),
    path("attendees/<int:pk>/consents/", attendees.consent_give, name="consent_give"),
    path(
        "attendees/<int:pk>/consents/<slug:kind>/withdraw/",
        attendees.consent_withdraw,
        name="consent_withdraw",
    ),
    path("attendees/<int:pk>/invite/", attendees.golfer_invite, name="golfer_invite"),
    path("ledger/<int:pk>/reverse/", attendees.ledger_reverse, name="ledger_reverse"),
]
