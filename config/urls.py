"""Every address of the site, one include per app."""

from django.contrib import admin
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from courses import health

urlpatterns = [
    path("site-admin/", admin.site.urls),
    path("account/", include("allauth.urls")),
    path("healthz", health.healthz, name="healthz"),
    path("readyz", health.readyz, name="readyz"),
    path("api/schema/", SpectacularAPIView.as_view(), name="api-schema"),
    path("jobs/", include("analysis.jobs.urls")),
    path("", include("submissions.urls")),
    path("", include("analysis.urls")),
    path("", include("courses.urls")),
]
