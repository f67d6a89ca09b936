"""Addresses of a person's own record."""

from django.urls import path

from quizzes.record import files, views

urlpatterns = [
    path("record/", views.record, name="record"),
    path("record/progress/", views.progress, name="record-progress"),
    path("record/files/", files.page, name="record-files"),
    path("record/files/record.json", files.whole, name="record-json"),
    path("record/files/attempts.csv", files.table, name="record-csv"),
    path("record/files/statements.json", files.xapi, name="record-xapi"),
    path("record/files/study-record.pdf", files.study_record, name="record-pdf"),
]
