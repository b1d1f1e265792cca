from django.urls import path

from . import pot_views, views

urlpatterns = [
    path("jobs/<int:job_pk>/resin/", views.resin_of_job, name="resin-of-job"),
    path("jobs/<int:job_pk>/mix/<str:what>/", pot_views.mixing_sheet, name="mix-job"),
    path("jobs/<int:job_pk>/mixes/", pot_views.mixes_of_job, name="mixes-of-job"),
]
