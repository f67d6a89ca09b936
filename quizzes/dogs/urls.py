"""Addresses of the library of dogs."""

from django.urls import path

from quizzes.dogs import classes, photographs, views

urlpatterns = [
    path("workshop/dogs/", views.library, name="library"),
    path("workshop/dogs/new/", views.dog_new, name="library-new"),
    path("workshop/dogs/drawn/", views.dog_drawn, name="library-drawn"),
    path("workshop/dogs/<int:pk>/", views.dog_edit, name="library-dog"),
    path("workshop/dogs/<int:pk>/archive/", views.dog_archive, name="library-archive"),
    path("workshop/dogs/<int:pk>/plate.svg", views.dog_plate, name="library-plate"),
    path(
        "workshop/dogs/<int:pk>/photographs/<slug:view>/",
        photographs.photograph,
        name="library-photograph",
    ),
    path(
        "workshop/classes/<int:pk>/dogs/library/",
        classes.add_from_library,
        name="class-library",
    ),
]
