from django.urls import path

from . import views

urlpatterns = [
    path("rolls/<str:code>/thaw/", views.take_out, name="roll-thaw"),
    path("rolls/<str:code>/refreeze/", views.put_back, name="roll-refreeze"),
    path("rolls/<str:code>/use-by/", views.note_use_by, name="roll-use-by"),
]
