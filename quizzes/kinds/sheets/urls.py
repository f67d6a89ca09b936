"""Addresses that all kinds share that ask on a sheet."""

from django.urls import path

from quizzes.kinds.sheets import builder, player

urlpatterns = [
    # a trainee's open attempt
    path("attempts/<int:pk>/sheet/", player.write, name="sheet-write"),
    # a mentor's exercise
    path("workshop/sheets/new/<slug:slug>/", builder.sheet_new, name="sheet-new"),
    path("workshop/sheets/<int:pk>/", builder.sheet_rows, name="sheet-rows"),
    path("workshop/sheets/<int:pk>/print/", builder.sheet_print, name="sheet-print"),
]
