from django.urls import path

from . import rule_views, views

urlpatterns = [
    path("fabrics/", views.reinforcements, name="reinforcements"),
    path("fabrics/add/", views.add_reinforcement, name="reinforcement-add"),
    path("fabrics/<int:pk>/", views.reinforcement, name="reinforcement"),
    path("fabrics/<int:pk>/edit/", views.edit_reinforcement, name="reinforcement-edit"),
    path("suppliers/", views.suppliers, name="suppliers"),
    path("suppliers/add/", views.add_supplier, name="supplier-add"),
    path("suppliers/<int:pk>/", views.supplier, name="supplier"),
    path("suppliers/<int:pk>/edit/", views.edit_supplier, name="supplier-edit"),
    path("places/", views.places, name="places"),
    path("places/add/", views.add_place, name="place-add"),
    path("places/rules/", rule_views.rules, name="place-rules"),
    path("places/rules/add/", rule_views.add_rule, name="place-rule-add"),
    path("places/rules/<int:pk>/remove/", rule_views.remove_rule, name="place-rule-remove"),
    path("places/<int:pk>/", views.place, name="place"),
    path("places/<int:pk>/edit/", views.edit_place, name="place-edit"),
]
