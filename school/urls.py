from django.contrib.auth.views import LoginView, LogoutView, PasswordResetConfirmView
from django.urls import URLPattern, path

from school.forms.accounts import ChoosePasswordForm, SignInForm
from school.guards import public, signed_in
from school.views import (
    attendee_money,
    attendee_seat,
    attendees,
    audit,
    bank,
    cashbook,
    checkouts,
    enrolment,
    exports,
    papers,
    people,
    preferences,
    schools,
    search,
    sign_in,
)
from school.views import messages as outbox
from school.views import public as public_pages
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
    path("attendees/<int:pk>/cancel/", attendee_seat.enrolment_cancel, name="enrolment_cancel"),
    path("mine/<int:pk>/leave/", attendee_seat.leave, name="leave"),
    path("attendees/<int:pk>/payments/", attendee_money.payment_add, name="payment_add"),
    path("attendees/<int:pk>/consents/", attendees.consent_give, name="consent_give"),
    path(
        "attendees/<int:pk>/consents/<slug:kind>/withdraw/",
        attendees.consent_withdraw,
        name="consent_withdraw",
    ),
    path("attendees/<int:pk>/invite/", attendees.golfer_invite, name="golfer_invite"),
    path("ledger/<int:pk>/reverse/", attendee_money.ledger_reverse, name="ledger_reverse"),
    # seats and terms
    path("attendees/<int:pk>/offer/", attendee_seat.offer_seat, name="offer_seat"),
    path("attendees/<int:pk>/seat/", attendee_seat.seat_override, name="seat_override"),
    path("attendees/<int:pk>/discounts/", attendee_money.discount_add, name="discount_add"),
    path("attendees/<int:pk>/refunds/", attendee_money.refund_add, name="refund_add"),
    # Public pages
    path("join/", public_pages.public_schools, name="public_schools"),
    path("join/<int:pk>/", public_pages.public_school, name="public_school"),
    path("join/<int:pk>/start/", public_pages.join_start, name="join_start"),
    path("join/d/<token>/", public_pages.join_resume, name="join_resume"),
    path("join/d/<token>/later/", public_pages.join_later, name="join_later"),
    path("join/d/<token>/done/", public_pages.join_done, name="join_done"),
    path("join/d/<token>/<slug:page>/", public_pages.join_page, name="join_page"),
    path("offers/<token>/", public_pages.offer_answer, name="offer_answer"),
    # people, the trail and files for the desk
    path("people/", search.search, name="search"),
    path("people/duplicates/", search.duplicates, name="duplicates"),
    path("people/<int:pk>/", people.golfer, name="golfer"),
    path(
        "golfers/<int:pk>/preferences/", preferences.golfer_preferences, name="golfer_preferences"
    ),
    path("mine/preferences/", preferences.my_preferences, name="my_preferences"),
    path("people/<int:pk>/merge/<int:other>/", people.golfer_merge, name="golfer_merge"),
    path("attendees/<int:pk>/move/", people.enrolment_move, name="enrolment_move"),
    path("schools/<int:pk>/export/", exports.school_export, name="school_export"),
    path("trail/", audit.audit_trail, name="audit_trail"),
    # cashbook
    path("cashbook/", cashbook.cashbook, name="cashbook"),
    path("cashbook/bank/", bank.bank_import, name="bank_import"),
    path("cashbook/bank/lines/", bank.bank_match, name="bank_match"),
    path("cashbook/bank/lines/certain/", bank.bank_match_certain, name="bank_match_certain"),
    path("cashbook/bank/lines/<int:pk>/match/", bank.bank_match_one, name="bank_match_one"),
    path("cashbook/bank/lines/<int:pk>/aside/", bank.bank_set_aside, name="bank_set_aside"),
    path("cashbook/bank/lines/<int:pk>/again/", bank.bank_take_up, name="bank_take_up"),
    path("cashbook/days/", cashbook.day_close, name="day_close"),
    path("cashbook/pay/", cashbook.pay, name="pay"),
    path("cashbook/pay/<int:pk>/reverse/", cashbook.pay_reverse, name="pay_reverse"),
    path("receipts/<int:pk>/", papers.receipt, name="receipt"),
    path("statements/<int:pk>/", papers.statement, name="statement"),
    path("pay-online/<int:pk>/", checkouts.pay_online, name="pay_online"),
    path("checkouts/return/", checkouts.checkout_return, name="checkout_return"),
    path("checkouts/sandbox/", checkouts.sandbox, name="sandbox"),
    # messages and signing in by one
    path("sign-in/code/", sign_in.sign_in_code, name="sign_in_code"),
    path("sign-in/code/enter/", sign_in.sign_in_code_enter, name="sign_in_code_enter"),
    path("messages/", outbox.outbox, name="messages"),
    path("messages/<int:pk>/", outbox.message, name="message"),
    path("messages/<int:pk>/again/", outbox.message_again, name="message_again"),
    path("mine/<int:pk>/calendar/", outbox.my_calendar, name="my_calendar"),
]
