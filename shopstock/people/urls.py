from django.urls import path

from . import pin_views, views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("people/", views.people, name="people"),
    path("people/add/", views.add_person, name="person-add"),
    path("people/<int:pk>/", views.person, name="person"),
    path("people/<int:pk>/lift-lock/", views.person_unlock, name="person-unlock"),
    path("people/tablets/", pin_views.tablets, name="tablets"),
    path("people/tablets/<int:pk>/end/", pin_views.tablet_end, name="tablet-end"),
    path("tablet/", pin_views.pin_sign_in, name="pin-sign-in"),
    path("my-password/", views.my_password, name="my-password"),
    path("my-pin/", pin_views.my_pin, name="my-pin"),
    path("settings/", views.shop_settings, name="shop-settings"),
]
