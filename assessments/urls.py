from django.urls import URLPattern, path

from assessments.views import (
    bulk,
    capture,
    entries,
    filming,
    marking,
    mine,
    pictures,
    queue,
    reports,
    stills,
    wall,
)

ATTENDEE = "sessions/<int:session_pk>/attendees/<int:enrolment_pk>/<slug:kind>/"

urlpatterns: list[URLPattern] = [
    path(ATTENDEE, entries.entry_new, name="entry_new"),
    path(f"{ATTENDEE}stills/", stills.still_add, name="still_add"),
    path(f"{ATTENDEE}capture/", capture.capture, name="capture"),
    path("schools/<int:pk>/stills/", bulk.stills_bulk, name="stills_bulk"),
    path("schools/<int:pk>/stills/add/", bulk.stills_bulk_add, name="stills_bulk_add"),
    path("schools/<int:pk>/marking/", queue.marking_queue, name="marking_queue"),
    path("entries/<uuid:pk>/", entries.entry_detail, name="entry_detail"),
    path("stills/<uuid:pk>/mark/", marking.still_mark, name="still_mark"),
    path("stills/<uuid:pk>/record/", marking.still_record, name="still_record"),
    path("stills/<uuid:pk>/again/", marking.still_again, name="still_again"),
    path("stills/<uuid:pk>/picture/", pictures.still_picture, name="still_picture"),
    path("stills/<uuid:pk>/before/", pictures.still_before_picture, name="still_before_picture"),
    path("stills/<uuid:pk>/overlay/", pictures.still_overlay, name="still_overlay"),
    path("filming/", filming.filming_places, name="filming_places"),
    path("filming/new/", filming.filming_place_new, name="filming_place_new"),
    path("filming/<int:pk>/", filming.filming_place, name="filming_place"),
    path("stills/<uuid:pk>/export/", wall.still_export, name="still_export"),
    path("stills/<uuid:pk>/reference/", wall.still_reference, name="still_reference"),
    path("schools/<int:pk>/wall/", wall.wall, name="wall"),
    path("schools/<int:pk>/wall/present/", wall.wall_present, name="wall_present"),
    path("schools/<int:pk>/wall/sheet.pdf", wall.wall_sheet_pdf, name="wall_sheet_pdf"),
    path("schools/<int:pk>/wall/sheet.png", wall.wall_sheet_png, name="wall_sheet_png"),
    path("schools/<int:pk>/wall/tiles/<uuid:still_pk>/", wall.wall_tile, name="wall_tile"),
    path("schools/<int:pk>/reports/", reports.school_reports, name="school_reports"),
    path("schools/<int:pk>/reports/progress/", reports.report_progress, name="report_progress"),
    path("reports/<int:pk>/", reports.report_download, name="report_download"),
    path("reports/<int:pk>/again/", reports.report_again, name="report_again"),
    path("mine/", mine.mine, name="mine"),
]
