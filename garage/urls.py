"""All pages. Each room has its own list, and links between rooms go by name."""

from django.urls import include, path

urlpatterns = [
    path("", include("diagnostics.views.urls")),
    path("", include("garage.views.urls")),
    path("", include("jobs.views.urls")),
]
handler500 = "garage.views.cannot_save.failed"
