from django.urls import path

from . import outline_views, views

urlpatterns = [
    path("jobs/<int:job_pk>/parts/add/", views.add_part, name="part-add"),
    path("parts/<int:pk>/", views.edit_part, name="part-edit"),
    path("parts/<int:pk>/remove/", views.remove_part, name="part-remove"),
    path("parts/<int:part_pk>/plies/add/", views.add_ply, name="ply-add"),
    path("plies/<int:pk>/", views.edit_ply, name="ply-edit"),
    path("plies/<int:pk>/remove/", views.remove_ply, name="ply-remove"),
    path("plies/<int:pk>/outline/", outline_views.outline, name="ply-outline"),
    path("plies/<int:pk>/outline/remove/", outline_views.remove_outline, name="ply-outline-remove"),
    path("jobs/<int:job_pk>/plies/import/", views.import_plies, name="plies-import"),
    path("jobs/<int:job_pk>/plies.csv", views.export_plies, name="plies-export"),
]
