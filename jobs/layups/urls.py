from django.urls import path

from . import views

urlpatterns = [
    path("jobs/<int:job_pk>/parts/add/", views.add_part, name="part-add"),
    path("parts/<int:pk>/", views.edit_part, name="part-edit"),
    path("parts/<int:pk>/remove/", views.remove_part, name="part-remove"),
    path("parts/<int:part_pk>/plies/add/", views.add_ply, name="ply-add"),
    path("plies/<int:pk>/", views.edit_ply, name="ply-edit"),
    path("plies/<int:pk>/remove/", views.remove_ply, name="ply-remove"),
    path("jobs/<int:job_pk>/plies/import/", views.import_plies, name="plies-import"),
    path("jobs/<int:job_pk>/plies.csv", views.export_plies, name="plies-export"),
]
