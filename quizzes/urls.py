"""Addresses of exercises: the trainee's, the mentor's, then each kind's own."""

from django.urls import path

from quizzes import paper, revising, views, workshop
from quizzes.assessments.urls import urlpatterns as assessments
from quizzes.bundles.urls import urlpatterns as bundles
from quizzes.dogs.urls import urlpatterns as library
from quizzes.drawing.urls import urlpatterns as drawing
from quizzes.kinds import REGISTERED, kind_named
from quizzes.kinds.sheets.urls import urlpatterns as sheets
from quizzes.marking.urls import urlpatterns as marking
from quizzes.panels.urls import urlpatterns as panels
from quizzes.practice import making
from quizzes.practice import views as practice
from quizzes.record.urls import urlpatterns as record
from quizzes.review import views as review

app_name = "quizzes"
urlpatterns = [
    # the trainee's
    path("classes/", views.exercise_list, name="exercise-list"),
    path("classes/another/", practice.another_class, name="practice-new"),
    path("classes/<int:pk>/", views.exercise_detail, name="exercise-detail"),
    path("classes/<int:pk>/begin/", views.attempt_begin, name="attempt-begin"),
    path("attempts/<int:pk>/", views.attempt_answer, name="attempt-answer"),
    path("attempts/<int:pk>/hand-in/", views.attempt_hand_in, name="attempt-hand-in"),
    path("attempts/<int:pk>/result/", views.attempt_result, name="attempt-result"),
    path("attempts/<int:pk>/twin/", practice.twin, name="practice-twin"),
    path("attempts/<int:pk>/drop/", practice.drop, name="practice-drop"),
    *record,
    path("review/", review.review, name="review"),
    *assessments,
    # the mentor's
    path("workshop/", workshop.workshop, name="workshop"),
    path("workshop/new/", workshop.exercise_new, name="exercise-new"),
    path("workshop/classes/make/", making.make_class, name="class-make"),
    path(
        "workshop/classes/<int:pk>/", workshop.exercise_manage, name="exercise-manage"
    ),
    path(
        "workshop/classes/<int:pk>/preview/", workshop.preview, name="exercise-preview"
    ),
    path(
        "workshop/classes/<int:pk>/publish/", workshop.publish, name="exercise-publish"
    ),
    path("workshop/classes/<int:pk>/discard/", workshop.discard, name="draft-discard"),
    path("workshop/classes/<int:pk>/begin/", revising.begin, name="draft-begin"),
    path("workshop/classes/<int:pk>/offer/", revising.offer, name="draft-offer"),
    path(
        "workshop/classes/<int:pk>/withdraw/",
        revising.withdraw,
        name="exercise-withdraw",
    ),
    path(
        "workshop/classes/<int:pk>/revisions/",
        revising.compare,
        name="exercise-compare",
    ),
    path(
        "workshop/classes/<int:pk>/attempts/", workshop.room, name="exercise-attempts"
    ),
    path("workshop/paper/", paper.upload, name="paper"),
    *bundles,
    *marking,
    *drawing,
    *library,
    *panels,
    *sheets,
    # each kind's own
    *(pattern for slug in REGISTERED for pattern in kind_named(slug).urlpatterns),
]
