"""Addresses of seminars: read and enrolled for, prepared, and what calendars take."""

from django.urls import path

from trainer.seminars import views

app_name = "seminars"
urlpatterns = [
    path("", views.seminar_list, name="seminar-list"),
    path("clubs/<slug:slug>/new/", views.seminar_new, name="seminar-new"),
    path("clubs/<slug:slug>/calendar.ics", views.feed, name="feed"),
    path("<int:pk>/", views.seminar_detail, name="seminar-detail"),
    path("<int:pk>/calendar.ics", views.calendar, name="calendar"),
    path("<int:pk>/enrol/", views.enrol, name="enrol"),
    path("<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("<int:pk>/edit/", views.seminar_edit, name="seminar-edit"),
    path("<int:pk>/announce/", views.seminar_announce, name="seminar-announce"),
    path("<int:pk>/end/", views.seminar_end, name="seminar-end"),
]
