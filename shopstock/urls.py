"""Every address of the program; the features bring their own. Names are flat so that links cross packages."""

from django.urls import include, path

urlpatterns = [
    path("", include("shopstock.today.urls")),
    path("", include("shopstock.people.urls")),
]

handler403 = "shopstock.people.views.forbidden"
handler404 = "shopstock.people.views.not_found"
