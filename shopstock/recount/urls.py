from django.urls import path

from . import views

urlpatterns = [
    path("recount/", views.rounds, name="recount"),
    path("recount/<int:pk>/", views.walk, name="recount-round"),
    path("recount/<int:pk>/roll/<str:code>/", views.count_roll, name="recount-count"),
    path("recount/<int:pk>/close/", views.close, name="recount-close"),
]
