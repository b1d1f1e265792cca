from django.urls import path

from . import views

urlpatterns = [
    path("parts/<int:part_pk>/stand-ins/", views.stand_ins, name="stand-ins"),
    path("parts/<int:part_pk>/stand-ins/choose/", views.choose, name="stand-in-choose"),
    path("stand-ins/<int:pk>/", views.stand_in, name="stand-in"),
    path("stand-ins/<int:pk>/designer/", views.designer, name="stand-in-designer"),
]
