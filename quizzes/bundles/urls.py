"""Addresses of bundles, for mentors; they stand among those of the modules (trainer.study.desk.urls)."""

from django.urls import path

from quizzes.bundles import views

HERE = "workshop/modules/bundles/"
urlpatterns = [
    path(HERE, views.bundle_import, name="bundle-import"),
    path(f"{HERE}<slug:key>/report/", views.bundle_report, name="bundle-report"),
    path(f"{HERE}<int:pk>/", views.bundle_export, name="bundle-export"),
    path(f"{HERE}<int:pk>/bundle.zip", views.bundle_file, name="bundle-file"),
]
