from django.urls import path, re_path

from . import delivery_views, scanner_views, views

CODE = r"(?P<code>[^/]+)"

urlpatterns = [
    path("scan/", views.scan, name="scan"),
    path("scan/photo/", views.scan_photo, name="scan-photo"),
    path("scan/scanner/", scanner_views.scan_test, name="scan-test"),
    path("scan/delivery/", delivery_views.scan_delivery, name="scan-delivery"),
    path("scan/delivery/material/", delivery_views.remember_article, name="article-remember"),
    path("scan/kept-cuts/", views.queued_cuts, name="cut-queue"),
    path("worker.js", views.service_worker, name="service-worker"),
    # Labels carry their address in capitals; people type it in small letters.
    re_path(rf"^[rR]/{CODE}/?$", views.scan_roll, name="scan-roll"),
    re_path(rf"^[cC]/{CODE}/?$", views.scan_container, name="scan-container"),
    re_path(rf"^[pP]/{CODE}/?$", views.scan_place, name="scan-place"),
    path("r/<str:code>/cut/", views.cut, name="scan-cut"),
    path("r/<str:code>/cut-without-plan/", views.cut_freely, name="scan-cut-free"),
    path("r/<str:code>/cut-away/", views.cut_away, name="scan-cut-away"),
    path("r/<str:code>/fault/", views.report_fault, name="scan-fault"),
    path("r/<str:code>/offcut/<int:pk>/<int:number>/", views.keep_offcut, name="scan-offcut"),
]
