"""Addresses of what comes after a seminar: certificates, papers, the report, feedback, practice."""

from django.urls import path

from trainer.seminars import attendee_views, certificates, paper_views, report_views

urlpatterns = [
    path(
        "certificates/<str:code>/",
        certificates.certificate_check,
        name="certificate-check",
    ),
    path("<int:pk>/certificates/", certificates.certificates, name="certificates"),
    path(
        "<int:pk>/certificates/issue/",
        certificates.certificates_issue,
        name="certificates-issue",
    ),
    path("<int:pk>/certificates/emblem/", certificates.emblem, name="emblem"),
    path(
        "<int:pk>/certificates/all.pdf",
        certificates.certificates_pdf,
        name="certificates-pdf",
    ),
    path(
        "<int:pk>/certificates/<int:number>.pdf",
        certificates.certificate_pdf,
        name="certificate-pdf",
    ),
    path(
        "<int:pk>/certificates/<int:number>/withdraw/",
        certificates.certificate_withdraw,
        name="certificate-withdraw",
    ),
    path(
        "<int:pk>/my-certificate.pdf",
        certificates.my_certificate,
        name="my-certificate",
    ),
    path("<int:pk>/papers/", paper_views.papers_page, name="papers"),
    path("<int:pk>/papers/<slug:which>.pdf", paper_views.paper, name="paper"),
    path(
        "<int:pk>/papers/<int:number>/<slug:which>.pdf",
        paper_views.class_paper,
        name="class-paper",
    ),
    path("<int:pk>/report/", report_views.report_page, name="report"),
    path("<int:pk>/report.pdf", report_views.report_pdf, name="report-pdf"),
    path("<int:pk>/report.xlsx", report_views.report_xlsx, name="report-xlsx"),
    path(
        "<int:pk>/report/<slug:which>.csv", report_views.report_csv, name="report-csv"
    ),
    path("<int:pk>/feedback/", attendee_views.feedback, name="feedback"),
    path("<int:pk>/practice/", attendee_views.practice, name="practice"),
    path("<int:pk>/remind/", attendee_views.remind, name="remind"),
]
