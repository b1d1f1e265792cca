from django.urls import path

from . import views

urlpatterns = [
    path("receive/", views.receive, name="receive"),
    path("receive/<slug:key>/", views.receipt, name="receipt"),
]
