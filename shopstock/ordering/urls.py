from django.urls import path

from . import views

urlpatterns = [
    path("ordering/", views.ordering, name="ordering"),
    path("ordering/<int:pk>/", views.ordering_file, name="ordering-file"),
]
