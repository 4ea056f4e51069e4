from __future__ import annotations

from django.urls import include, path

from venue.views import files, first, front, house, invitations, language, people

urlpatterns = [
    path("", front.home, name="home"),
    path("set-up/", first.first_person, name="first_person"),
    path("invitation/<str:token>/", invitations.invitation, name="invitation"),
    path("loftbook.js", front.one_script, name="one_script"),
    path("desk.js", front.desk_script, name="desk_script"),
    path("scripts/<slug:script>.js", front.page_script, name="page_script"),
    path("loftbook.css", front.one_style, name="one_style"),
    path("look.js", front.look_script, name="look_script"),
    path("language/", language.choose_language, name="choose_language"),
    path("healthz", front.health, name="health"),
    path("v/<slug:slug>/house/", house.house, name="house"),
    path("v/<slug:slug>/house/change/", house.change_venue, name="change_venue"),
    path("v/<slug:slug>/house/log/", house.log, name="log"),
    path("v/<slug:slug>/people/", people.people, name="people"),
    path("v/<slug:slug>/people/add/", invitations.invite, name="add_person"),
    path("v/<slug:slug>/people/<int:pk>/invite/", invitations.renew, name="renew_invitation"),
    path("v/<slug:slug>/people/<int:pk>/competence/", people.add_competence, name="add_competence"),
    path("v/<slug:slug>/people/<int:pk>/end/", people.end_membership, name="end_membership"),
    path("v/<slug:slug>/bookings/", include("venue.urls_bookings")),
    path("v/<slug:slug>/files/<int:pk>/", files.kept_file, name="kept_file"),
    path("v/<slug:slug>/register/", include("venue.urls_register")),
    path("v/<slug:slug>/", include("venue.urls_entry")),
]
