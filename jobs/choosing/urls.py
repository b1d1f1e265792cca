from django.urls import path

from . import views

urlpatterns = [
    path("choose/", views.choose_fabric, name="choose-fabric"),
    path("choose/compare/", views.compare_lay_ups, name="compare-lay-ups"),
]
