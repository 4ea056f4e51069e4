"""The forms by which places, equipment and parts come into the register on screen."""

from __future__ import annotations

from django.urls import path

from venue.views import equipment_forms, parts, places

urlpatterns = [
    path("places/add/", places.add, name="add_place"),
    path("places/<int:pk>/change/", places.change, name="change_place"),
    path("equipment/add/", equipment_forms.add, name="add_equipment"),
    path("equipment/<int:pk>/change/", equipment_forms.change, name="change_equipment"),
    path("equipment/<int:pk>/files/", equipment_forms.add_file, name="add_equipment_file"),
    path("equipment/<int:pk>/parts/add/", parts.add, name="add_part"),
    path("parts/<int:pk>/change/", parts.change, name="change_part"),
    path("parts/<int:pk>/replace/", parts.replace, name="replace_part"),
    path("parts/<int:pk>/files/", parts.add_file, name="add_part_file"),
]
