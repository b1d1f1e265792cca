from django.urls import path

from . import receiving, views

urlpatterns = [
    path("climate/", views.climate, name="climate"),
    path("climate/readings/", receiving.receive, name="climate-readings"),
    path("climate/<int:pk>/", views.place_climate, name="place-climate"),
    path("climate/<int:pk>/read/", views.read, name="climate-read"),
    path("climate/<int:pk>/file/", views.import_file, name="climate-import"),
    path("climate/<int:pk>/sensors/add/", views.add_sensor, name="sensor-add"),
    path("climate/sensors/<int:pk>/stop/", views.stop_sensor, name="sensor-stop"),
]
