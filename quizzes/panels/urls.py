"""Addresses of panels: of a class, and of one mentor's key for it."""

from django.urls import path

from quizzes.panels import views

urlpatterns = [
    path("workshop/classes/<int:pk>/panel/", views.panel, name="panel"),
    path("workshop/classes/<int:pk>/panel/close/", views.close, name="panel-close"),
    path("workshop/classes/<int:pk>/panel/more/", views.more, name="panel-more"),
    path("workshop/classes/<int:pk>/panel/dogs/", views.dogs_anew, name="panel-dogs"),
    path("workshop/classes/<int:pk>/panel/adopt/", views.adopt, name="panel-adopt"),
    path("workshop/panels/<int:pk>/", views.key, name="panel-key"),
    path("workshop/panels/<int:pk>/compare/", views.compare, name="panel-compare"),
    path(
        "workshop/panels/<int:pk>/<slug:first>/<slug:second>.svg",
        views.overlay,
        name="panel-overlay",
    ),
    path("workshop/panels/<int:pk>/<slug:dog>.svg", views.plate, name="panel-plate"),
]
