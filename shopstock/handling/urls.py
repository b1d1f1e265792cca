from django.urls import path

from . import views

urlpatterns = [
    path("rolls/<str:code>/split/", views.split, name="roll-split"),
    path("rolls/<str:code>/join/", views.join, name="roll-join"),
    path("rolls/<str:code>/return/", views.send_back, name="roll-return"),
    path("rolls/<str:code>/layers/", views.strip_layers, name="roll-layers"),
    path("rolls/<str:code>/fold/", views.fold, name="roll-fold"),
    path("rolls/<str:code>/bin/", views.bin_offcut, name="roll-bin"),
    path("rolls/<str:code>/fault/<int:pk>/photo/", views.fault_photo, name="fault-photo"),
]
