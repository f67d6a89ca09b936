from django.urls import path

from trainer.clubs import views

app_name = "clubs"
urlpatterns = [
    path("", views.club_list, name="club-list"),
    path("found/", views.club_found, name="club-found"),
    path("invitations/<str:code>/", views.invitation_accept, name="invitation-accept"),
    path("<slug:slug>/", views.club_detail, name="club-detail"),
    path("<slug:slug>/edit/", views.club_edit, name="club-edit"),
    path("<slug:slug>/leave/", views.club_leave, name="club-leave"),
    path("<slug:slug>/members/<int:pk>/", views.member_edit, name="member-edit"),
    path(
        "<slug:slug>/invitations/create/",
        views.invitation_create,
        name="invitation-create",
    ),
    path(
        "<slug:slug>/invitations/<int:pk>/withdraw/",
        views.invitation_withdraw,
        name="invitation-withdraw",
    ),
]
