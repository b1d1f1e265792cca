from django.urls import path

from . import views

urlpatterns = [
    path("outlook/", views.outlook, name="outlook"),
    path("outlook/fabric/<int:pk>/", views.cloth, name="cloth-outlook"),
    path("outlook/fabric/<int:pk>/widths/", views.widths, name="widths-to-buy"),
    path("outlook/resin/<int:pk>/", views.resin, name="resin-outlook"),
    path("stock-value/", views.value, name="stock-value"),
]
