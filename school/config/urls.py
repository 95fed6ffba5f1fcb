from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("school.urls")),
    path("", include("lessons.urls")),
    path("", include("assessments.urls")),
    path("admin/", admin.site.urls),
]
