from django.contrib.auth.views import LogoutView
from django.urls import path

from . import views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("people/", views.people, name="people"),
    path("people/add/", views.add_person, name="person-add"),
    path("people/<int:pk>/", views.person, name="person"),
    path("settings/", views.shop_settings, name="shop-settings"),
]
