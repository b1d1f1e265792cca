from django.urls import path

from . import views

urlpatterns = [path("yield/", views.cloth_yield, name="yield")]
