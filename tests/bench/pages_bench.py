"""What the main pages cost, beside a bare view that reads session and user.

    python -m tests.bench.pages_bench [--rounds 200] [--profile PAGE]

Loads the demo into a scratch SQLite database and asks for each page through the real WSGI
handler with the settings of production. What counts is the processor's time, and the pages
take turns, so that a busy machine slows all of them alike; a ratio compares medians of one run.
"""

import argparse
import cProfile
import io
import logging
import os
import pstats
import random
import secrets
import tempfile
from dataclasses import dataclass, field
from functools import cache
from statistics import median
from time import process_time
from wsgiref.util import setup_testing_defaults

READING, RESULT = 4, 6
"""Goals: how many times the bare view a page may cost that is read, and a result."""


@dataclass
class Page:
    """A page as one person asks for it, and what it was measured to cost."""

    name: str
    address: str
    cookie: str
    goal: int | None = None
    seconds: list[float] = field(default_factory=list)
    queries: int = 0
    size: int = 0


def main():
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--rounds", type=int, default=200)
    asked.add_argument(
        "--profile", metavar="PAGE", help="say where this page's time goes"
    )
    options = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        set_up(folder)
        pages = demo_pages()
        visit = visitor()
        for page in pages:
            count(page, visit)
        if options.profile:
            profile(next(p for p in pages if p.name == options.profile), visit)
            return
        for _round in range(options.rounds):
            for page in pages:
                began = process_time()
                visit(page)
                page.seconds.append(process_time() - began)
        report(pages)


def set_up(folder, *, database="", demo=True):
    """The site as in production, with the demo and the bare view; on SQLite, or on the database of this address."""
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "trainer.settings",
        "TRAINER_VAR_DIR": folder,
        "TRAINER_SECRET_KEY": secrets.token_urlsafe(48),
        "TRAINER_DEBUG": "0",
        "TRAINER_PLAIN_HTTP": "1",
        "DATABASE_URL": database,
    }
    logging.disable(logging.INFO)
    import django
    from django.core.management import call_command

    django.setup()
    quiet = {"verbosity": 0, "stdout": io.StringIO()}
    call_command("migrate", **quiet)
    call_command("createcachetable", **quiet)
    call_command("collectstatic", interactive=False, **quiet)
    if demo:
        call_command("load_demo", stdout=io.StringIO())

    from django.urls import path

    from trainer import urls

    urls.urlpatterns.append(path("bare/", bare))


def bare(request):
    from django.http import HttpResponse

    return HttpResponse(f"{request.user} since {request.session['began']}")


def demo_pages():
    """The bare view, then the main pages, most of them as a trainee of the demo."""
    from quizzes.models import Revision
    from trainer.accounts.models import User

    mentor = cookie_of(User.objects.get(email="hedda.quillane@example.org"))
    trainee = User.objects.get(email="amarachi.obielu@example.org")
    module = Revision.objects.in_force().first().module_revision
    read = f"/modules/{module.module_id}/"
    shared = {
        "start": "/",
        "modules": "/modules/",
        "module": read,
        "priority": f"{read}priorities/{module.priorities.first().slug}/",
        "examination": f"{read}examination/",
        "classes": "/classes/",
        "record": "/record/",
        "clubs": "/clubs/",
    }
    taught = {"workshop": "/workshop/", "paper cards": "/workshop/paper/"}
    pages = [Page("bare view", "/bare/", cookie_of(trainee))]
    pages += [
        Page(name, url, cookie_of(trainee), READING) for name, url in shared.items()
    ]
    pages += [Page(name, url, mentor) for name, url in taught.items()]
    for size in (5, 12):
        revision = Revision.objects.in_force().filter(size=size).first()
        pages += class_pages(revision, trainee, mentor)
    return pages


def class_pages(revision, trainee, mentor):
    """The pages of one class; the result is the one that parts from the key most."""
    from quizzes.models import Attempt

    result = (
        Attempt.objects.filter(revision=revision, state=Attempt.State.HANDED_IN)
        .order_by("grades__share", "pk")
        .first()
    )
    placing, workshop = (
        full_board(revision, trainee),
        f"/workshop/classes/{revision.exercise_id}/",
    )
    own, dogs = cookie_of(trainee), f"{revision.size} dogs"
    return [
        Page(f"class, {dogs}", f"/classes/{revision.exercise_id}/", own, READING),
        Page(f"placing, {dogs}", f"/attempts/{placing.pk}/", own),
        Page(
            f"result, {dogs}",
            f"/attempts/{result.pk}/result/",
            cookie_of(result.trainee),
            RESULT,
        ),
        Page(f"manage, {dogs}", workshop, mentor),
        Page(f"key, {dogs}", f"{workshop}key/", mentor),
        Page(f"attempts, {dogs}", f"{workshop}attempts/", mentor),
    ]


def full_board(revision, trainee):
    """An open attempt with every dog placed, which makes the longest page."""
    from django.utils import timezone

    from quizzes import attempts

    opened = attempts.begin(
        revision, by=trainee, now=timezone.now(), rng=random.Random(1)
    )
    dogs = [dog["id"] for dog in revision.content["dogs"]]
    opened.answer = {"order": dogs[: revision.content["places"]], "rulings": {}}
    opened.save()
    return opened


@cache
def cookie_of(user):
    """A cookie of a new session in which the person is signed in."""
    from django.test import Client

    client = Client()
    client.force_login(user)
    return client.cookies.output(header="", sep=";").partition(";")[0].strip()


def visitor():
    """A function that asks for a page and returns the body, as a server would."""
    from django.core.handlers.wsgi import WSGIHandler

    handler = WSGIHandler()

    def visit(page):
        environ = {"PATH_INFO": page.address, "HTTP_COOKIE": page.cookie}
        setup_testing_defaults(environ)
        answered = []
        response = handler(environ, lambda status, headers: answered.append(status))
        body = b"".join(response)
        response.close()
        assert answered == ["200 OK"], (page.name, page.address, answered)
        return body

    return visit


def count(page, visit):
    """Warm up, then note the queries and the size of one visit."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    visit(page)
    with CaptureQueriesContext(connection) as queries:
        page.size = len(visit(page))
    page.queries = len(queries)


def report(pages):
    bare_cost = median(pages[0].seconds)
    print(f"{'page':20} {'ms':>7} {'queries':>8} {'kB':>7} {'bare views':>11}  goal")
    for page in pages:
        cost = median(page.seconds)
        verdict = ""
        if page.goal:
            kept = "kept" if cost <= page.goal * bare_cost else "MISSED"
            verdict = f"{page.goal} {kept}"
        print(
            f"{page.name:20} {1000 * cost:7.2f} {page.queries:8} {page.size / 1024:7.1f}"
            f" {cost / bare_cost:11.1f}  {verdict}"
        )


def profile(page, visit, visits=50):
    """Print where the time of one page goes."""
    watch = cProfile.Profile()
    watch.enable()
    for _visit in range(visits):
        visit(page)
    watch.disable()
    stats = pstats.Stats(watch)
    stats.sort_stats("tottime").print_stats(25)
    stats.sort_stats("cumulative").print_stats(60)


if __name__ == "__main__":
    main()
