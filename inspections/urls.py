from __future__ import annotations

from django.urls import include, path

from inspections.views import checks, equipment, findings, overview, plans, records, sync, tasks

urlpatterns = [
    path("v/<slug:slug>/", overview.overview, name="overview"),
    path("v/<slug:slug>/round/", overview.my_round, name="round"),
    path("v/<slug:slug>/equipment/", equipment.equipment_list, name="equipment_list"),
    path("v/<slug:slug>/equipment/<int:pk>/", equipment.equipment_page, name="equipment"),
    path("v/<slug:slug>/equipment/<int:pk>/out/", findings.take_out, name="take_out"),
    path("v/<slug:slug>/equipment/<int:pk>/files/", equipment.add_file, name="add_equipment_file"),
    path("v/<slug:slug>/equipment/<int:pk>/plans/", plans.apply, name="apply_regime"),
    path("v/<slug:slug>/equipment/<int:pk>/checks/", checks.start_use, name="start_use_check"),
    path("v/<slug:slug>/parts/<int:pk>/", equipment.part_page, name="part"),
    path("v/<slug:slug>/parts/<int:pk>/retire/", equipment.retire, name="retire_part"),
    path("v/<slug:slug>/plans/<int:pk>/end/", plans.end, name="end_plan"),
    path("v/<slug:slug>/labels/", equipment.labels, name="labels"),
    path("v/<slug:slug>/t/<str:tag>/", equipment.by_tag, name="by_tag"),
    path("v/<slug:slug>/tasks/", tasks.task_list, name="task_list"),
    path("v/<slug:slug>/tasks/generate/", tasks.generate, name="generate_tasks"),
    path("v/<slug:slug>/tasks/<int:pk>/", tasks.task_page, name="task"),
    path("v/<slug:slug>/tasks/<int:pk>/change/", tasks.change, name="change_task"),
    path("v/<slug:slug>/tasks/<int:pk>/cancel/", tasks.cancel, name="cancel_task"),
    path("v/<slug:slug>/tasks/<int:pk>/check/", checks.start_task, name="start_task_check"),
    path("v/<slug:slug>/checks/<uuid:pk>/", checks.fill, name="fill_check"),
    path("v/<slug:slug>/checks/<uuid:pk>/answer/", checks.answer, name="answer_check"),
    path("v/<slug:slug>/checks/<uuid:pk>/review/", checks.review, name="review_check"),
    path("v/<slug:slug>/checks/<uuid:pk>/submit/", checks.submit, name="submit_check"),
    path("v/<slug:slug>/sync/session/", sync.session, name="phone_session"),
    path("v/<slug:slug>/sync/checks/<uuid:pk>/", sync.put_check, name="phone_check"),
    path("v/<slug:slug>/sync/stops/<uuid:pk>/", sync.put_stop, name="phone_stop"),
    path(
        "v/<slug:slug>/sync/checks/<uuid:pk>/photographs/<str:digest>/",
        sync.put_photograph,
        name="phone_photograph",
    ),
    path("v/<slug:slug>/records/<uuid:pk>/", records.record_page, name="record"),
    path("v/<slug:slug>/findings/", findings.finding_list, name="finding_list"),
    path("v/<slug:slug>/findings/<int:pk>/", findings.finding_page, name="finding"),
    path("v/<slug:slug>/findings/<int:pk>/remedy/", findings.remedy, name="record_remedy"),
    path("v/<slug:slug>/orders/<int:pk>/return/", findings.return_order, name="return_to_service"),
    path("v/<slug:slug>/", include("inspections.urls_proof")),
]
