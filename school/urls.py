from django.contrib.auth.views import LoginView, LogoutView
from django.urls import URLPattern, path

from school.guards import public, signed_in
from school.views.home import home

urlpatterns: list[URLPattern] = [
    path("", signed_in(home), name="home"),
    path(
        "sign-in/",
        public(
            LoginView.as_view(
                template_name="registration/sign_in.html", redirect_authenticated_user=True
            )
        ),
        name="sign_in",
    ),
    path("sign-out/", public(LogoutView.as_view()), name="sign_out"),
]
