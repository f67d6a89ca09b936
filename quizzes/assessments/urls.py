"""Addresses of assessments: the trainee's, then the mentor's."""

from django.urls import path

from quizzes.assessments import desk, overseeing, previewing, views

DESK = "workshop/assessments/<int:pk>/"
TRY = "workshop/assessments/tries/<int:pk>/"

urlpatterns = [
    # the trainee's
    path("assessments/", views.assessment_list, name="assessment-list"),
    path("assessments/<int:pk>/", views.assessment, name="assessment"),
    path("assessments/<int:pk>/begin/", views.begin, name="assessment-begin"),
    path("tries/<int:pk>/", views.a_try, name="try"),
    path("tries/<int:pk>/hand-in/", views.hand_in, name="try-hand-in"),
    # the mentor's
    path("workshop/assessments/", desk.assessments, name="assessments-manage"),
    path("workshop/assessments/new/", desk.new, name="assessment-new"),
    path(
        "workshop/classes/<int:pk>/keep-back/",
        desk.keep_back,
        name="exercise-keep-back",
    ),
    path(DESK, desk.manage, name="assessment-manage"),
    path(f"{DESK}edit/", desk.edit, name="assessment-edit"),
    path(f"{DESK}add/", desk.add, name="assessment-add"),
    path(f"{DESK}add/exercise/", desk.add_exercise, name="assessment-add-exercise"),
    path(f"{DESK}add/class/", desk.add_wish, name="assessment-add-class"),
    path(
        f"{DESK}items/<int:item>/change/",
        desk.change_item,
        name="assessment-item-change",
    ),
    path(f"{DESK}preview/", previewing.preview, name="assessment-preview"),
    path(
        f"{DESK}preview/<int:item>/",
        previewing.item,
        name="assessment-preview-item",
    ),
    path(f"{DESK}state/", desk.change_state, name="assessment-state"),
    path(f"{DESK}people/", overseeing.people, name="assessment-people"),
    path(f"{DESK}tries/", overseeing.all_tries, name="assessment-tries"),
    path(f"{DESK}release/", overseeing.release_all, name="assessment-release"),
    path(TRY, overseeing.one_try, name="assessment-try"),
    path(f"{TRY}release/", overseeing.release, name="try-release"),
    path(
        f"{TRY}late/<int:attempt>/count/",
        overseeing.count_late,
        name="try-count-late",
    ),
]
