"""Every address of the program; the features bring their own. Names are flat so that links cross packages."""

from django.urls import include, path

FEATURES = [
    "shopstock.today",
    "shopstock.finding",
    "shopstock.receiving",
    "shopstock.rolls",
    "shopstock.measuring",
    "shopstock.handling",
    "shopstock.recount",
    "shopstock.yields",
    "shopstock.materials",
    "shopstock.resins",
    "shopstock.climate",
    "shopstock.freezer",
    "shopstock.watching",
    "shopstock.stock_file",
    "shopstock.ordering",
    "shopstock.outlook",
    "shopstock.people",
    "shopstock.health",
    "shopstock.tracing",
    "jobs.job_list",
    "jobs.what_if",
    "jobs.competing",
    "jobs.layups",
    "jobs.cutting",
    "jobs.mixing",
    "jobs.tracing",
    "jobs.laminate_sheet",
    "jobs.choosing",
    "jobs.standing_in",
    "labels.sheets",
    "labels.scan",
    "labels.tickets",
    "labels.carrying",
]

urlpatterns = [path("", include(f"{feature}.urls")) for feature in FEATURES]

handler403 = "shopstock.people.views.forbidden"
handler404 = "shopstock.people.views.not_found"
handler500 = "shopstock.health.views.something_broke"
