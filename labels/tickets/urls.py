from django.urls import path

from . import views

urlpatterns = [
    path("tickets/<int:plan>/", views.cut_tickets, name="cut-tickets"),
    path("tickets/<int:plan>/tickets.pdf", views.cut_tickets_pdf, name="cut-tickets-pdf"),
    path("tickets/<int:plan>/kit-labels.pdf", views.kit_labels_pdf, name="kit-labels-pdf"),
]
