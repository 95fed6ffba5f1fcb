"""Forms for sign-ins: the admin's, and the one for choosing a first password."""

from typing import Any

from django import forms
from django.contrib.auth.forms import (
    AdminPasswordChangeForm,
    AdminUserCreationForm,
    AuthenticationForm,
    SetPasswordForm,
    UserChangeForm,
    UsernameField,
)

from school.actions.reference import set_password
from school.models import Account


class AccountAddForm(AdminUserCreationForm):  # type: ignore[type-arg]
    class Meta:
        model = Account
        fields = ("email", "full_name")

    def clean_email(self) -> str:
        return str(self.cleaned_data["email"]).lower()


class AccountChangeForm(UserChangeForm):  # type: ignore[type-arg]
    class Meta:
        model = Account
        fields = ("email", "full_name", "password", "is_active", "is_staff", "is_superuser")

    def clean_email(self) -> str:
        return str(self.cleaned_data["email"]).lower()


class AccountPasswordForm(AdminPasswordChangeForm):  # type: ignore[type-arg]
    """Django's form, saving through our action, which says who did it."""

    def __init__(self, *args: Any, actor: Account, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.actor = actor

    def save(self, commit: bool = True) -> Account:
        account: Account = self.user
        wanted = self.cleaned_data["set_usable_password"]
        password = self.cleaned_data["password1"] if wanted else None
        set_password(account=account, password=password, actor=self.actor)
        return account


class SignInForm(AuthenticationForm):
    """Django's form, with the keyboard for e-mail on a phone."""

    username = UsernameField(
        label="E-mail", widget=forms.EmailInput(attrs={"autofocus": True, "autocomplete": "email"})
    )


class ChoosePasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """For whoever follows the link of an invitation; they are their own actor."""

    def save(self, commit: bool = True) -> Account:
        account: Account = self.user
        password = self.cleaned_data["new_password1"]
        set_password(account=account, password=password, actor=account)
        return account
