from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shopstock.roles import allow


@allow("look")
def today(request: HttpRequest) -> HttpResponse:
    return render(request, "today/today.html")
