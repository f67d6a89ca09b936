"""Addresses of drawn dogs."""

from django.urls import path

from quizzes.drawing import lessons, views

urlpatterns = [
    path("drawings/<int:pk>.svg", views.drawing, name="drawing"),
    path(
        "drawings/lessons/<int:revision>/<slug:lesson>/<slug:section>/<slug:side>.svg",
        lessons.lesson_plate,
        name="lesson-plate",
    ),
    path("workshop/drawing/lesson/", lessons.put_in_lesson, name="workbench-lesson"),
    path("workshop/drawing/", views.workbench, name="workbench"),
    path("workshop/drawing/plate.svg", views.plate, name="workbench-plate"),
    path("workshop/drawing/dog/", views.save_dog, name="workbench-dog"),
    path("workshop/drawing/keep/", views.keep_drawing, name="workbench-keep"),
    path("workshop/drawing/breed/", views.keep_breed, name="workbench-breed"),
    path(
        "workshop/drawing/breeds/<int:pk>/remove/",
        views.build_remove,
        name="build-remove",
    ),
    path(
        "workshop/drawing/<int:pk>/remove/",
        views.drawing_remove,
        name="drawing-remove",
    ),
]
