from django.urls import path

from . import hand_views, search_views, views

urlpatterns = [
    path("jobs/<int:job_pk>/plan/", views.plan_job, name="plan-job"),
    path("plans/together/", hand_views.together, name="plan-together"),
    path("plans/<int:pk>/", views.cutting_plan, name="cutting-plan"),
    path("plans/<int:pk>/confirm/", views.confirm, name="plan-confirm"),
    path("plans/<int:pk>/cancel/", views.cancel, name="plan-cancel"),
    path("plans/<int:pk>/progress/", search_views.progress, name="plan-progress"),
    path("plans/<int:pk>/good-enough/", search_views.stop, name="plan-stop"),
    path("plans/<int:pk>/search/", search_views.search_longer, name="plan-search"),
    path("plans/<int:pk>/by-hand/", hand_views.by_hand, name="plan-by-hand"),
    path("plans/<int:pk>/print/", views.plan_print, name="plan-print"),
    path("plans/<int:pk>/cut-list.csv", views.plan_file, name="plan-file"),
    path("cuts/<int:pk>/blanks/", views.strip_blanks, name="strip-blanks"),
]
