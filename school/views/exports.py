"""The desk's two files of a school. Asked for by POST, since taking one leaves a trail."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.text import slugify

from school.access import school_for_desk
from school.actions.exports import export_cohort, export_ledger
from school.forms.desk import ExportForm
from school.forms.refusals import attempt
from school.guards import account_of, desk_only
from school.models import School
from school.queries.exports import COHORT, LEDGER


@desk_only
def school_export(request: HttpRequest, pk: int) -> HttpResponse:
    school = school_for_desk(account_of(request), pk)
    wanted = request.POST.get("file", "")
    forms = {
        "cohort": ExportForm(
            request.POST if wanted == "cohort" else None, columns=COHORT, auto_id="cohort_%s"
        ),
        "ledger": ExportForm(
            request.POST if wanted == "ledger" else None, columns=LEDGER, auto_id="ledger_%s"
        ),
    }
    if wanted in forms:
        form = forms[wanted]
        export = export_cohort if wanted == "cohort" else export_ledger
        text = attempt(
            form,
            lambda: export(
                school=school, columns=form.cleaned_data["columns"], actor=account_of(request)
            ),
        )
        if text is not None:
            return _file(text, school, wanted)
    return render(request, "school/desk/export.html", {"school": school, **forms})


def _file(text: str, school: School, what: str) -> HttpResponse:
    name = f"{slugify(school.name)}-{school.starts_on:%Y-%m-%d}-{what}.csv"
    return HttpResponse(
        text,
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
