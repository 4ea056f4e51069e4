from __future__ import annotations

from django.urls import path

from rigging.views import calculators, confirmations, every_rule, rules

urlpatterns = [
    path("v/<slug:slug>/calculators/", calculators.calculators, name="calculators"),
    path("v/<slug:slug>/calculators/<slug:calculator>/", calculators.calculator, name="calculator"),
    path(
        "v/<slug:slug>/calculators/<slug:calculator>/keep/",
        calculators.keep,
        name="keep_calculation",
    ),
    path("v/<slug:slug>/rules/", rules.rules, name="rules"),
    path("v/<slug:slug>/printed-limits/", rules.limits, name="printed_limits"),
    path("v/<slug:slug>/rules/<slug:ruleset>/", rules.ruleset, name="ruleset"),
    path("v/<slug:slug>/rules/<slug:ruleset>/choose/", rules.choose, name="choose_ruleset"),
    path("v/<slug:slug>/rule-choices/<int:pk>/end/", rules.end, name="end_ruleset"),
    path(
        "v/<slug:slug>/rules/<slug:ruleset>/confirm/", confirmations.confirm, name="confirm_figures"
    ),
    path(
        "v/<slug:slug>/confirmed-figures/<int:pk>/end/", confirmations.end, name="end_confirmation"
    ),
    path("v/<slug:slug>/ropes/<int:pk>/every-rule/", every_rule.page, name="every_rule"),
]
