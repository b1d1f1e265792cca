from django.urls import path

from . import views

urlpatterns = [path("jobs/<int:job_pk>/resin/", views.resin_of_job, name="resin-of-job")]
