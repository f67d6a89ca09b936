from django.urls import path

app_name = "clubs"
urlpatterns = []
