from django.urls import path

from . import views

urlpatterns = [
    path("jobs/competing/", views.competing, name="competing"),
    path("jobs/<int:pk>/before/", views.let_job_before, name="job-before"),
    path("jobs/competing/<int:pk>/take-back/", views.take_decision_back, name="precedence-take-back"),
]
