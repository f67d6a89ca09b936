"""Addresses of seminars: read and enrolled for, prepared, what calendars take; signing in, and the room."""

from django.urls import path

from trainer.seminars import (
    after_urls,
    cards,
    clerk,
    inviting_views,
    joining,
    pictures,
    place_views,
    room,
    roster,
    roster_views,
    rostrum,
    stage,
    views,
    visit_views,
)

app_name = "seminars"
urlpatterns = [
    path("", views.seminar_list, name="seminar-list"),
    path("clubs/<slug:slug>/new/", views.seminar_new, name="seminar-new"),
    path("clubs/<slug:slug>/calendar.ics", views.feed, name="feed"),
    path(
        "clubs/<slug:slug>/attendance/",
        visit_views.club_attendance,
        name="club-attendance",
    ),
    path(
        "clubs/<slug:slug>/attendance/<int:number>/",
        visit_views.club_attendee,
        name="club-attendee",
    ),
    path(
        "clubs/<slug:slug>/attendance/attendance.csv",
        visit_views.club_attendance_file,
        name="club-attendance-file",
    ),
    path("mine/", visit_views.mine, name="mine"),
    path("mine/seminars.csv", visit_views.mine_file, name="mine-file"),
    path("join/", joining.join, name="join"),
    path("join/<str:code>/", joining.join_code, name="join-code"),
    path("come/<str:code>/", joining.personal, name="personal"),
    path("come/<str:code>/give-up/", joining.give_up, name="give-up"),
    path("invited/<str:code>/", inviting_views.invited, name="invited"),
    path("as-guest/", joining.as_guest, name="as-guest"),
    path("as-guest/erase/", joining.guest_erase, name="guest-erase"),
    path("<int:pk>/", views.seminar_detail, name="seminar-detail"),
    path("<int:pk>/calendar.ics", views.calendar, name="calendar"),
    path("<int:pk>/enrol/", views.enrol, name="enrol"),
    path("<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("<int:pk>/edit/", views.seminar_edit, name="seminar-edit"),
    path("<int:pk>/invitations/", inviting_views.invitations, name="invitations"),
    path(
        "<int:pk>/invitations/<int:number>/withdraw/",
        inviting_views.invitation_withdraw,
        name="invitation-withdraw",
    ),
    path("<int:pk>/announce/", views.seminar_announce, name="seminar-announce"),
    path("<int:pk>/end/", views.seminar_end, name="seminar-end"),
    path("<int:pk>/room/", room.room, name="room"),
    path("<int:pk>/room/hand-in/", room.hand_in, name="hand-in"),
    path("<int:pk>/check-out/", joining.check_out, name="check-out"),
    path("<int:pk>/stage/", stage.stage, name="stage"),
    path("<int:pk>/rostrum/", rostrum.rostrum, name="rostrum"),
    path("<int:pk>/sittings/add/", rostrum.sitting_add, name="sitting-add"),
    path(
        "<int:pk>/sittings/<int:number>/show/",
        rostrum.sitting_show,
        name="sitting-show",
    ),
    path(
        "<int:pk>/sittings/<int:number>/turn/",
        rostrum.sitting_turn,
        name="sitting-turn",
    ),
    path(
        "<int:pk>/sittings/<int:number>/line/",
        rostrum.sitting_line,
        name="sitting-line",
    ),
    path(
        "<int:pk>/sittings/<int:number>/key/", rostrum.sitting_key, name="sitting-key"
    ),
    path("<int:pk>/sittings/<int:number>/clerk/", clerk.clerk, name="clerk"),
    path("<int:pk>/sittings/<int:number>/cards/", cards.cards_table, name="cards"),
    path(
        "<int:pk>/sittings/<int:number>/<slug:step>/",
        rostrum.sitting_do,
        name="sitting-do",
    ),
    path(
        "<int:pk>/sittings/<int:number>/plates/<slug:what>/<slug:place>/",
        pictures.plate,
        name="plate",
    ),
    path(
        "<int:pk>/sittings/<int:number>/photographs/<uuid:public_id>/<slug:size>/",
        pictures.photograph,
        name="photograph",
    ),
    path(
        "<int:pk>/roster/from-a-table/",
        roster_views.roster_import,
        name="roster-import",
    ),
    path(
        "<int:pk>/roster/roster.csv", roster_views.roster_table_file, name="roster-file"
    ),
    path("<int:pk>/roster/", roster.roster, name="roster"),
    path(
        "<int:pk>/roster/stays/<int:number>/", roster.stay_correct, name="stay-correct"
    ),
    path("<int:pk>/roster/<int:number>/", place_views.place, name="place"),
    path("<int:pk>/roster/<int:number>/<slug:step>/", roster.place_do, name="place-do"),
    *after_urls.urlpatterns,
]
