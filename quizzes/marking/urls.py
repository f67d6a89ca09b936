"""Addresses of marking."""

from django.urls import path

from quizzes.marking import views

urlpatterns = [
    path("workshop/marking/", views.queue, name="marking"),
    path("workshop/marking/<int:pk>/", views.mark, name="marking-mark"),
]
