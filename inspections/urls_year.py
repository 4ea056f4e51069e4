from __future__ import annotations

from django.urls import path

from inspections.views import planned, planning, year

urlpatterns = [
    path("year/", year.year_plans, name="year_plans"),
    path("year/plan/", year.plan_year, name="plan_year"),
    path("year/settings/", planning.planning_settings, name="planning_settings"),
    path("year/settings/people/<int:pk>/", planning.working_week, name="working_week"),
    path("year/settings/absences/", planning.add_absence, name="add_absence"),
    path("year/settings/absences/<int:pk>/end/", planning.end_absence, name="end_absence"),
    path("year/settings/examiners/<slug:trade>/", planning.examiner_trade, name="examiner_trade"),
    path("year/settings/set-ups/<slug:set_up>/", planning.set_up_price, name="set_up_price"),
    path("year/settings/hours/", planning.hours_choice, name="hours_choice"),
    path("year/<int:pk>/", year.year_plan, name="year_plan"),
    path("year/<int:pk>/tasks/", year.year_tasks, name="year_tasks"),
    path("year/<int:pk>/propose/", year.propose, name="propose_year_plan"),
    path("year/<int:pk>/publish/", year.publish, name="publish_year_plan"),
    path("year/<int:pk>/withdraw/", year.withdraw, name="withdraw_year_plan"),
    path("year/<int:pk>/copy/", year.copy, name="copy_year_plan"),
    path("year/<int:pk>/again/", year.plan_again, name="plan_year_again"),
    path("year/<int:pk>/undo/", planned.undo, name="undo_planned_move"),
    path("year/tasks/<int:pk>/", planned.planned_task, name="planned_task"),
    path("year/tasks/<int:pk>/move/", planned.move, name="move_planned"),
    path("year/tasks/<int:pk>/lock/", planned.lock, name="lock_planned"),
]
