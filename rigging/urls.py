from __future__ import annotations

from django.urls import path

from rigging.views import calculators, rules

urlpatterns = [
    path("v/<slug:slug>/calculators/", calculators.calculators, name="calculators"),
    path("v/<slug:slug>/calculators/<slug:calculator>/", calculators.calculator, name="calculator"),
    path("v/<slug:slug>/rules/", rules.rules, name="rules"),
    path("v/<slug:slug>/rules/<slug:ruleset>/", rules.ruleset, name="ruleset"),
    path("v/<slug:slug>/rules/<slug:ruleset>/choose/", rules.choose, name="choose_ruleset"),
    path("v/<slug:slug>/rule-choices/<int:pk>/end/", rules.end, name="end_ruleset"),
]
