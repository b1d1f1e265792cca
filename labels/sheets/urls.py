from django.urls import path

from . import views

urlpatterns = [
    path("labels/", views.label_sheet, name="label-sheet"),
    path("labels/labels.pdf", views.label_sheet_pdf, name="label-sheet-pdf"),
    path("labels/roll/<str:code>.png", views.roll_png, name="roll-label-png"),
    path("labels/roll/<str:code>.pdf", views.roll_pdf, name="roll-label-pdf"),
    path("labels/container/<str:code>.png", views.container_png, name="container-label-png"),
    path("labels/container/<str:code>.pdf", views.container_pdf, name="container-label-pdf"),
]
