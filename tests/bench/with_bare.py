"""The site as gunicorn serves it, with a bare view beside it that reads session and user."""

from trainer.wsgi import application


def add_bare():
    from django.urls import path

    from tests.bench.pages_bench import bare
    from trainer import urls
    from trainer.seminars.guests import OPEN_TO_GUESTS

    urls.urlpatterns.append(path("bare/", bare, name="bare"))
    OPEN_TO_GUESTS[""].add("bare")


add_bare()
__all__ = ["application"]
