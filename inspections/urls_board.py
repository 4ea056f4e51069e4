from __future__ import annotations

from django.urls import path

from inspections.views import planned, year_board, year_papers, year_sides

urlpatterns = [
    path("year/<int:pk>/board/", year_board.year_board, name="year_board"),
    path("year/<int:pk>/changes/", year_sides.changes, name="year_changes"),
    path("year/<int:pk>/cost/", year_sides.cost, name="year_cost"),
    path("year/<int:pk>/cost.csv", year_sides.cost_file, name="year_cost_file"),
    path("year/<int:pk>/dark/", year_sides.dark, name="year_dark"),
    path("year/<int:pk>/papers/", year_papers.papers, name="year_papers"),
    path("year/<int:pk>/papers/ask/", year_papers.ask, name="ask_for_paper"),
    path("year/papers/<int:pk>/", year_papers.paper_job, name="paper_job"),
    path("year/papers/<int:pk>/paper.pdf", year_papers.paper_file, name="paper_file"),
    path("year/tasks/<int:pk>/check/", planned.check, name="check_planned_move"),
]
