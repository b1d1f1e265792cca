from django.urls import path

from . import views

urlpatterns = [
    path("jobs/", views.jobs, name="jobs"),
    path("jobs/add/", views.add_job, name="job-add"),
    path("jobs/<int:pk>/", views.job, name="job"),
    path("jobs/<int:pk>/edit/", views.edit_job, name="job-edit"),
    path("jobs/<int:pk>/taken-on/", views.take_on_job, name="job-taken-on"),
    path("jobs/<int:pk>/cancel/", views.cancel_job, name="job-cancel"),
]
