"""The site map: one include per app, admin, health."""

from __future__ import annotations

from django.contrib import admin
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from django.views.decorators.http import require_safe


@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """Answers 200 when the app and its database do."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("well\n", content_type="text/plain")


handler500 = "config.faults.server_error"

urlpatterns = [
    path("", include("workshops.urls")),
    path("", include("stations.urls")),
    path("", include("scheduling.urls")),
    path("office/", admin.site.urls),
    path("health/", health, name="health"),
]
