from django.urls import path

from . import views

urlpatterns = [
    path("trace/", views.trace, name="trace"),
    path("trace/lot/", views.lot, name="trace-lot"),
    path("trace/batch/", views.batch, name="trace-batch"),
    path("timeline/", views.timeline_page, name="timeline"),
]
