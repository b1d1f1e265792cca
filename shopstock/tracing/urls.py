from django.urls import path

from . import views

urlpatterns = [
    path("trace/", views.trace, name="trace"),
    path("trace/lot/", views.lot, name="trace-lot"),
    path("trace/batch/", views.batch, name="trace-batch"),
    path("stock-on/", views.stock_on_page, name="stock-on"),
    path("timeline/", views.timeline_page, name="timeline"),
]
