"""Addresses that all kinds share that ask on a sheet."""

from django.urls import path

from quizzes.kinds.sheets import builder, picture_page, pictures, player

urlpatterns = [
    # a trainee's open attempt
    path("attempts/<int:pk>/sheet/", player.write, name="sheet-write"),
    path(
        "attempts/<int:pk>/sheet/<slug:row>/<slug:place>.svg",
        pictures.attempt_plate,
        name="sheet-plate",
    ),
    # a mentor's exercise
    path("workshop/sheets/new/<slug:slug>/", builder.sheet_new, name="sheet-new"),
    path("workshop/sheets/<int:pk>/", builder.sheet_rows, name="sheet-rows"),
    path("workshop/sheets/<int:pk>/print/", builder.sheet_print, name="sheet-print"),
    path(
        "workshop/sheets/<int:pk>/<slug:row>/pictures/",
        picture_page.sheet_pictures,
        name="sheet-pictures",
    ),
    path(
        "workshop/sheets/<int:pk>/<slug:row>/<slug:place>.svg",
        picture_page.draft_plate,
        name="sheet-draft-plate",
    ),
]
