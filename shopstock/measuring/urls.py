from django.urls import path

from . import views

urlpatterns = [
    path("rolls/<str:code>/recount/", views.recount, name="roll-recount"),
    path("rolls/<str:code>/tube-empty/", views.tube_empty, name="roll-empty"),
    path("habits/", views.habits, name="cut-habits"),
    path("habits/<str:form>/", views.switch_habit, name="cut-habit"),
]
