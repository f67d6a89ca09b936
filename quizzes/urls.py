from django.urls import path

app_name = "quizzes"
urlpatterns = []
