from __future__ import annotations

from django.urls import path

from inspections.views import planned, year_board

urlpatterns = [
    path("year/<int:pk>/board/", year_board.year_board, name="year_board"),
    path("year/tasks/<int:pk>/check/", planned.check, name="check_planned_move"),
]
