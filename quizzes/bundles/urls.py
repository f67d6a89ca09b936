"""Addresses of bundles, for mentors."""

from django.urls import path

from quizzes.bundles import views

urlpatterns = [
    path("workshop/bundles/", views.bundle_import, name="bundle-import"),
    path(
        "workshop/bundles/modules/<int:pk>/", views.bundle_export, name="bundle-export"
    ),
    path(
        "workshop/bundles/modules/<int:pk>/bundle.zip",
        views.bundle_file,
        name="bundle-file",
    ),
    path("workshop/bundles/<slug:key>/", views.bundle_report, name="bundle-report"),
]
