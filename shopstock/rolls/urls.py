from django.urls import path

from . import views

urlpatterns = [
    path("rolls/", views.rolls, name="rolls"),
    path("rolls/<str:code>/", views.roll, name="roll"),
    path("rolls/<str:code>/fault/", views.report_fault, name="roll-fault"),
    path("rolls/<str:code>/fault/<int:pk>/clear/", views.clear_fault, name="roll-fault-clear"),
    path("rolls/<str:code>/quarantine/", views.quarantine, name="roll-quarantine"),
    path("rolls/<str:code>/release/", views.release, name="roll-release"),
    path("rolls/<str:code>/move/", views.move, name="roll-move"),
    path("rolls/<str:code>/loss/", views.cut_away, name="roll-loss"),
    path("rolls/<str:code>/offcut/", views.keep_offcut, name="roll-offcut"),
    path("rolls/<str:code>/line/<int:pk>/take-back/", views.take_back, name="roll-take-back"),
]
