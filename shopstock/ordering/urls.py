from django.urls import path

from . import delivery_views, order_views, terms_views, views

urlpatterns = [
    path("ordering/", views.ordering, name="ordering"),
    path("ordering/<int:pk>/", views.ordering_file, name="ordering-file"),
    path("ordering/<int:pk>/write/", views.write, name="order-write"),
    path("orders/", order_views.orders, name="orders"),
    path("orders/add/", order_views.add_order, name="order-add"),
    path("orders/<int:pk>/", order_views.order, name="order"),
    path("orders/<int:pk>/terms/", order_views.edit_terms, name="order-terms"),
    path("orders/<int:pk>/day/", order_views.edit_day, name="order-day"),
    path("orders/<int:pk>/lines/add/", order_views.add_line, name="order-line-add"),
    path("order-lines/<int:pk>/", order_views.edit_line, name="order-line-edit"),
    path("order-lines/<int:pk>/remove/", order_views.remove_line, name="order-line-remove"),
    path("order-lines/<int:pk>/close/", delivery_views.close_line, name="order-line-close"),
    path("orders/<int:pk>/approve/", order_views.approve_order, name="order-approve"),
    path("orders/<int:pk>/sent/", order_views.order_sent, name="order-sent"),
    path("orders/<int:pk>/cancel/", order_views.cancel_order, name="order-cancel"),
    path("orders/<int:pk>/pdf/", order_views.order_pdf, name="order-pdf"),
    path("orders/<int:pk>/csv/", order_views.order_csv, name="order-csv"),
    path("orders/<int:pk>/text/", order_views.order_text, name="order-text"),
    path("orders/<int:pk>/came/", delivery_views.came, name="order-came"),
    path("suppliers/<int:pk>/terms/", terms_views.terms, name="supplier-terms"),
    path("suppliers/<int:pk>/offers/add/", terms_views.add_offer, name="offer-add"),
    path("offers/<int:pk>/remove/", terms_views.remove_offer, name="offer-remove"),
]
