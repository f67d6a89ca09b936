"""The site map. Grouped by object, read from top to bottom."""

from django.contrib import admin
from django.urls import include, path

from trainer import offline, views

handler429 = "trainer.views.too_many"
urlpatterns = [
    path("", views.home, name="home"),
    path("service-worker.js", offline.worker, name="service-worker"),
    path("offline/", offline.page, name="offline"),
    path("health/", views.health, name="health"),
    path("account/", include("allauth.urls")),
    path("you/", include("trainer.accounts.urls")),
    path("clubs/", include("trainer.clubs.urls")),
    path("modules/", include("trainer.study.urls")),
    path("workshop/modules/", include("trainer.study.desk.urls")),
    path(
        "workshop/modules/preview/",
        include("trainer.study.urls", namespace="preview"),
    ),
    path("pictures/", include("trainer.pictures.urls")),
    path("seminars/", include("trainer.seminars.urls")),
    path("", include("quizzes.urls")),
    path("admin/", admin.site.urls),
]
