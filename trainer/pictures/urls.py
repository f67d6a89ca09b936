from django.urls import path

from trainer.pictures import views

app_name = "pictures"
urlpatterns = [
    path("<uuid:public_id>/withdraw/", views.picture_withdraw, name="picture-withdraw"),
    path("<uuid:public_id>/<slug:size>.jpg", views.picture_file, name="picture-file"),
]
