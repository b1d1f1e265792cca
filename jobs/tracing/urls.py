from django.urls import path

from . import views

urlpatterns = [path("parts/<int:pk>/history/", views.part_history, name="part-history")]
