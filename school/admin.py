"""The admin: reference rows are edited here, what happened is only looked at."""

from copy import copy
from functools import partial
from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.models import Group
from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet
from django.forms import ModelForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import URLPattern, path

from school.actions.reference import delete_reference, save_reference
from school.forms.accounts import AccountAddForm, AccountChangeForm, AccountPasswordForm
from school.forms.messages import MessageTemplateForm, variables_in_words
from school.guards import account_of
from school.models import (
    Account,
    AuditEntry,
    Consent,
    ConsentText,
    Enrolment,
    Golfer,
    LedgerEntry,
    MessageTemplate,
    Programme,
    School,
    Staff,
)

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
    AnyForm = ModelForm[Any]
else:
    ModelAdmin = admin.ModelAdmin
    AnyForm = ModelForm

admin.site.site_header = "Marram: the tables behind the pages"
admin.site.site_title = "Marram"
admin.site.index_title = "Tables"


class ReferenceAdmin(ModelAdmin):
    """Rows that are set up here. Each write, of inlines too, goes through the reference action."""

    def save_model(self, request: HttpRequest, obj: Model, form: AnyForm, change: bool) -> None:
        save_reference(row=obj, changed=form.changed_data, actor=account_of(request))

    def save_formset(self, request: HttpRequest, form: AnyForm, formset: Any, change: bool) -> None:
        rows = formset.save(commit=False)
        # By identity: a row without a key yet has no hash.
        changed = {id(row): names for row, names in formset.changed_objects}
        for row in formset.deleted_objects:
            delete_reference(row=row, actor=account_of(request))
        for row in rows:
            save_reference(row=row, changed=changed.get(id(row), []), actor=account_of(request))
        formset.save_m2m()

    def delete_model(self, request: HttpRequest, obj: Model) -> None:
        delete_reference(row=obj, actor=account_of(request))

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[Any]) -> None:
        for row in queryset:
            delete_reference(row=row, actor=account_of(request))


class ReadOnlyAdmin(ModelAdmin):
    """Rows that actions write. They can be looked up here and changed nowhere but there."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


admin.site.unregister(Group)


@admin.register(Account)
class AccountAdmin(ReferenceAdmin, UserAdmin):  # type: ignore[type-arg]
    form = AccountChangeForm
    add_form = AccountAddForm
    fieldsets = (
        (None, {"fields": ("email", "full_name", "password")}),
        ("May", {"fields": ("is_active", "is_staff", "is_superuser")}),
    )
    add_fieldsets = (
        (
            None,
            {"fields": ("email", "full_name", "usable_password", "password1", "password2")},
        ),
    )
    list_display = ("email", "full_name", "is_active", "is_staff")
    list_filter = ("is_active", "is_staff")
    search_fields = ("email", "full_name")
    ordering = ("full_name",)
    filter_horizontal = ()

    def user_change_password(
        self,
        request: HttpRequest,
        id: str,  # noqa: A002
        form_url: str = "",
    ) -> HttpResponse:
        bound = copy(self)  # the admin object is shared between requests; the actor is not
        bound.change_password_form = partial(AccountPasswordForm, actor=account_of(request))
        return super(AccountAdmin, bound).user_change_password(request, id, form_url)


@admin.register(Staff)
class StaffAdmin(ReferenceAdmin):
    list_display = ("account", "at_front_desk", "teaches", "owns")
    list_select_related = ("account",)
    autocomplete_fields = ("account",)


@admin.register(Programme)
class ProgrammeAdmin(ReferenceAdmin):
    list_display = ("name", "days", "capacity", "price", "currency", "is_offered")
    list_filter = ("is_offered",)
    search_fields = ("name",)


@admin.register(ConsentText)
class ConsentTextAdmin(ReferenceAdmin):
    """A text that somebody agreed to stays as it is; a change of words is a new version."""

    list_display = ("kind", "version", "body")
    list_filter = ("kind",)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        if obj is not None and obj.consent_set.exists():
            return False
        return super().has_change_permission(request, obj)


@admin.register(School)
class SchoolAdmin(ReadOnlyAdmin):
    list_display = ("name", "starts_on", "state", "capacity", "price", "currency")
    list_filter = ("state", "programme")
    search_fields = ("name",)


@admin.register(Golfer)
class GolferAdmin(ReadOnlyAdmin):
    list_display = ("full_name", "email", "handedness", "handicap_index")
    search_fields = ("full_name", "email")


@admin.register(Enrolment)
class EnrolmentAdmin(ReadOnlyAdmin):
    list_display = ("golfer", "school", "state", "seat", "enrolled_at")
    list_filter = ("state", "school")
    list_select_related = ("golfer", "school")
    search_fields = ("golfer__full_name", "school__name")


@admin.register(LedgerEntry)
class LedgerEntryAdmin(ReadOnlyAdmin):
    list_display = ("entered_at", "enrolment", "kind", "amount", "method", "memo", "entered_by")
    list_filter = ("kind", "method")
    list_select_related = ("enrolment__golfer", "enrolment__school", "entered_by")
    search_fields = ("enrolment__golfer__full_name", "memo")


@admin.register(Consent)
class ConsentAdmin(ReadOnlyAdmin):
    list_display = ("enrolment", "text", "given_by", "by_guardian", "given_at", "withdrawn_at")
    list_filter = ("text__kind", "by_guardian")
    list_select_related = ("enrolment__golfer", "enrolment__school", "text")
    search_fields = ("enrolment__golfer__full_name", "given_by")


@admin.register(MessageTemplate)
class MessageTemplateAdmin(ReferenceAdmin):
    """The words of messages. Deleting them brings back those that came with the house."""

    form = MessageTemplateForm
    fields = ("kind", "subject", "body")
    list_display = ("kind", "subject")

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> tuple[str, ...]:
        return ("kind",) if obj else ()

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.preview)
        return [
            path("<int:pk>/preview/", view, name="message_preview"),
            path("add/preview/", view, name="message_preview"),
            *super().get_urls(),
        ]

    def changeform_view(
        self,
        request: HttpRequest,
        object_id: str | None = None,
        form_url: str = "",
        extra_context: dict[str, Any] | None = None,
    ) -> HttpResponse:
        more = {"variables": variables_in_words(object_id), "preview_of": object_id}
        return super().changeform_view(
            request, object_id, form_url, {**more, **(extra_context or {})}
        )

    def preview(self, request: HttpRequest, pk: int | None = None) -> HttpResponse:
        """The typed words with invented values, or what is wrong with them; saves nothing."""
        row = get_object_or_404(MessageTemplate, pk=pk) if pk else MessageTemplate()
        if not self.has_view_or_change_permission(request, row if pk else None):
            raise PermissionDenied
        given = request.POST.copy()
        given.setdefault("kind", row.kind)
        form = MessageTemplateForm(given, instance=row)
        words = form.sample() if form.is_valid() else None
        context = {
            **self.admin_site.each_context(request),
            "words": words,
            "errors": form.errors,
            "kind": row.get_kind_display() or "message",
        }
        return render(request, "school/messages/preview.html", context)


@admin.register(AuditEntry)
class AuditEntryAdmin(ReadOnlyAdmin):
    list_display = ("at", "actor", "verb", "subject", "detail")
    list_filter = ("verb",)
    list_select_related = ("actor",)
    search_fields = ("subject",)
