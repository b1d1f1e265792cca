from django.urls import path

from . import medium_views, run_views, views

urlpatterns = [
    path("labels/", views.label_sheet, name="label-sheet"),
    path("labels/print/", views.label_sheet_pdf, name="label-sheet-pdf"),
    path("labels/roll/<str:code>.png", views.roll_png, name="roll-label-png"),
    path("labels/roll/<str:code>.pdf", views.roll_pdf, name="roll-label-pdf"),
    path("labels/container/<str:code>.png", views.container_png, name="container-label-png"),
    path("labels/container/<str:code>.pdf", views.container_pdf, name="container-label-pdf"),
    path("labels/place/<str:code>.png", views.place_png, name="place-label-png"),
    path("labels/place/<str:code>.pdf", views.place_pdf, name="place-label-pdf"),
    path("labels/queue/", run_views.label_queue, name="label-queue"),
    path("labels/queue/<str:code>/drop/", run_views.drop_wish, name="label-wish-drop"),
    path("labels/runs/<int:pk>/", run_views.print_run, name="print-run"),
    path("labels/runs/<int:pk>/labels.pdf", run_views.print_run_pdf, name="print-run-pdf"),
    path("labels/runs/<int:pk>/spoilt/", run_views.spoil, name="print-run-spoilt"),
    path("labels/media/", medium_views.media, name="label-media"),
    path("labels/media/add/", medium_views.add_medium, name="label-medium-add"),
    path("labels/media/<int:pk>/", medium_views.medium, name="label-medium"),
    path("labels/media/<int:pk>/trial-page.pdf", medium_views.trial_page, name="label-trial-page"),
]
