from django.urls import path

from . import views

urlpatterns = [
    path("stock-file/", views.stock_import, name="stock-import"),
    path("stock-file/confirm/", views.confirm, name="stock-import-confirm"),
    path("stock-file/columns.csv", views.empty_table, name="stock-columns"),
    path("stock-file/download/", views.stock_export, name="stock-export"),
]
