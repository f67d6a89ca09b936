from django.urls import path

from trainer.accounts import views

app_name = "accounts"
urlpatterns = [
    path("profile/", views.profile, name="profile"),
    path("delete/", views.delete, name="delete"),
    path("deleted/", views.deleted, name="deleted"),
    path("theme/", views.theme, name="theme"),
]
