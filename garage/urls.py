"""All pages: each room has its own list; links between rooms go by name."""

from django.urls import include, path

urlpatterns = [
    path("", include("diagnostics.views.urls")),
    path("", include("garage.views.urls")),
    path("", include("jobs.views.urls")),
]
