from django.urls import path

from trainer.accounts import views

app_name = "accounts"
urlpatterns = [
    path("profile/", views.profile, name="profile"),
    path("theme/", views.theme, name="theme"),
]
