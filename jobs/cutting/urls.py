from django.urls import path

from . import views

urlpatterns = [
    path("jobs/<int:job_pk>/plan/", views.plan_job, name="plan-job"),
    path("plans/<int:pk>/", views.cutting_plan, name="cutting-plan"),
    path("plans/<int:pk>/confirm/", views.confirm, name="plan-confirm"),
    path("plans/<int:pk>/cancel/", views.cancel, name="plan-cancel"),
    path("plans/<int:pk>/cut-list.csv", views.plan_file, name="plan-file"),
    path("cuts/<int:pk>/blanks/", views.strip_blanks, name="strip-blanks"),
]
