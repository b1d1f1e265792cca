from django.urls import path

from . import views

urlpatterns = [
    path("what-if/", views.what_if, name="what-if"),
    path("what-if/take/", views.take, name="what-if-take"),
]
