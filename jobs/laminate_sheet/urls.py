from django.urls import path

from . import views

urlpatterns = [
    path("laminate/", views.laminate_sheet, name="laminate-sheet"),
    path("parts/<int:pk>/laminate/", views.part_laminate, name="part-laminate"),
    path("laminate/properties/", views.material_properties, name="material-properties"),
    path("laminate/properties/<str:material>/", views.edit_properties, name="material-properties-edit"),
    path("laminate/properties/<str:material>/default/", views.default_properties, name="material-properties-default"),
]
