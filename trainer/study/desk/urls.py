from django.urls import path

from trainer.study.desk import lesson_views, row_views, views

app_name = "desk"
urlpatterns = [
    path("", views.module_list, name="module-list"),
    path("new/", views.module_new, name="module-new"),
    path("<int:pk>/", views.module_path, name="module"),
    path("<int:pk>/about/", row_views.about, name="about"),
    path("<int:pk>/weights/", row_views.weights, name="weights"),
    path("<int:pk>/begin/", views.module_begin, name="module-begin"),
    path("<int:pk>/offer/", views.module_offer, name="module-offer"),
    path("<int:pk>/publish/", views.module_publish, name="module-publish"),
    path("<int:pk>/withdraw/", views.module_withdraw, name="module-withdraw"),
    path("<int:pk>/discard/", views.module_discard, name="module-discard"),
    path("<int:pk>/compare/", views.compare, name="compare"),
    path(
        "<int:pk>/removed/<int:removed>/put-back/", row_views.put_back, name="put-back"
    ),
    path("<int:pk>/text/", lesson_views.text_preview, name="text-preview"),
    path(
        "<int:pk>/lessons/<int:row>/sections/",
        lesson_views.section_add,
        name="section-add",
    ),
    path(
        "<int:pk>/lessons/<int:row>/sections/<slug:section>/",
        lesson_views.section_edit,
        name="section",
    ),
    path(
        "<int:pk>/lessons/<int:row>/sections/<slug:section>/move/",
        lesson_views.section_move,
        name="section-move",
    ),
    path(
        "<int:pk>/lessons/<int:row>/sections/<slug:section>/remove/",
        lesson_views.section_remove,
        name="section-remove",
    ),
    path("<int:pk>/<slug:part>/", row_views.part_list, name="part"),
    path("<int:pk>/<slug:part>/<int:row>/", row_views.row_edit, name="row"),
    path("<int:pk>/<slug:part>/<int:row>/move/", row_views.row_move, name="row-move"),
    path(
        "<int:pk>/<slug:part>/<int:row>/remove/",
        row_views.row_remove,
        name="row-remove",
    ),
]
