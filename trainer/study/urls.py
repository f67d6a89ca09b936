from django.urls import path

from trainer.study import papers, views

app_name = "study"
urlpatterns = [
    path("", views.module_list, name="module-list"),
    path("<int:pk>/", views.module_detail, name="module-detail"),
    path(
        "<int:pk>/priorities/<slug:slug>/",
        views.priority_detail,
        name="priority-detail",
    ),
    path("<int:pk>/examination/", views.examination, name="examination"),
    path("<int:pk>/examination/hands-free/", views.rehearsal, name="rehearsal"),
    path("<int:pk>/examination/<int:number>/", views.step_detail, name="step-detail"),
    path("<int:pk>/lessons/<slug:slug>/", views.lesson_detail, name="lesson-detail"),
    path("<int:pk>/terms/", views.term_list, name="term-list"),
    path("<int:pk>/print/", papers.module_print, name="module-print"),
    path("<int:pk>/module.pdf", papers.module_pdf, name="module-pdf"),
    path("<int:pk>/examination-card.pdf", papers.card_pdf, name="card-pdf"),
    path("<int:pk>/pages.json", views.module_pages, name="module-pages"),
    path("<int:pk>/read/", views.page_read, name="page-read"),
    path("<int:pk>/faults/", views.fault_list, name="fault-list"),
]
