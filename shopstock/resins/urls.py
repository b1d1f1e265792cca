from django.urls import path

from . import chemical_views, views

urlpatterns = [
    path("resins/", views.resins, name="resins"),
    path("resins/receive/", views.receive, name="container-receive"),
    path("resins/products/", chemical_views.chemicals, name="chemicals"),
    path("resins/products/add/", chemical_views.add_chemical, name="chemical-add"),
    path("resins/products/<int:pk>/", chemical_views.chemical, name="chemical"),
    path("resins/products/<int:pk>/edit/", chemical_views.edit_chemical, name="chemical-edit"),
    path("resins/products/<int:pk>/sheets/add/", chemical_views.add_sheet, name="chemical-sheet-add"),
    path("resins/products/sheets/<int:pk>/", chemical_views.sheet, name="chemical-sheet"),
    path("resins/products/sheets/<int:pk>/remove/", chemical_views.remove_sheet, name="chemical-sheet-remove"),
    path("resins/<str:code>/", views.container, name="container"),
    path("resins/<str:code>/draw/", views.draw, name="container-draw"),
    path("resins/<str:code>/opened/", views.note_opened, name="container-opened"),
    path("resins/<str:code>/weigh/", views.weigh, name="container-weigh"),
    path("resins/<str:code>/move/", views.move, name="container-move"),
    path("resins/<str:code>/lost/", views.lose, name="container-lose"),
    path("resins/<str:code>/test/", views.test_life, name="container-test"),
    path("resins/<str:code>/dispose/", views.dispose, name="container-dispose"),
]
