from django.urls import path

from . import chemical_views, views

urlpatterns = [
    path("resins/", views.resins, name="resins"),
    path("resins/receive/", views.receive, name="container-receive"),
    path("resins/products/", chemical_views.chemicals, name="chemicals"),
    path("resins/products/add/", chemical_views.add_chemical, name="chemical-add"),
    path("resins/products/<int:pk>/", chemical_views.chemical, name="chemical"),
    path("resins/products/<int:pk>/edit/", chemical_views.edit_chemical, name="chemical-edit"),
    path("resins/<str:code>/", views.container, name="container"),
    path("resins/<str:code>/draw/", views.draw, name="container-draw"),
    path("resins/<str:code>/opened/", views.note_opened, name="container-opened"),
    path("resins/<str:code>/weigh/", views.weigh, name="container-weigh"),
    path("resins/<str:code>/dispose/", views.dispose, name="container-dispose"),
]
