from django.urls import path

from trainer.pictures import library, views

app_name = "pictures"
urlpatterns = [
    path("", library.picture_list, name="picture-list"),
    path("new/", library.picture_new, name="picture-new"),
    path("<uuid:public_id>/", library.picture_detail, name="picture-detail"),
    path(
        "<uuid:public_id>/landmarks/",
        library.picture_landmarks,
        name="picture-landmarks",
    ),
    path(
        "<uuid:public_id>/change/<slug:tool>/",
        library.picture_change,
        name="picture-change",
    ),
    path("<uuid:public_id>/withdraw/", views.picture_withdraw, name="picture-withdraw"),
    path("<uuid:public_id>/<slug:size>.jpg", views.picture_file, name="picture-file"),
]
