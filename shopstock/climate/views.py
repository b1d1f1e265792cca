import datetime
from functools import partial

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock.calc.climate import Band, Reading, ReadingError, UnlikelyReading, outside, stretches_of
from shopstock.calc.climate_picture import ClimatePicture, climate_picture
from shopstock.climate_reads import as_reading, band_of_place, last_readings, products_in
from shopstock.listing import list_page
from shopstock.models import ClimateReading, Place, Sensor, Shop
from shopstock.roles import allow

from . import actions
from .actions import new_sensor, reading_before, store_file, store_reading
from .forms import FileForm, ReadingForm, SensorForm
from .tables import ReadingTable

SPANS = {"1": "a day", "7": "a week", "31": "a month", "366": "a year"}
LONGEST_GAP = {"1": 6, "7": 6, "31": 24, "366": 48}  # hours; over a year a reading a day is a good record


@allow("look")
def climate(request: HttpRequest) -> HttpResponse:
    at, shop = timezone.localtime(), Shop.current()
    places, last = list(Place.objects.all()), last_readings(at)
    lying, rows = products_in([place.pk for place in places]), []
    for place in places:
        band = band_of_place(place, lying[place.pk], shop)
        reading = last.get(place.pk)
        rows.append({"place": place, "reading": reading, "band": band, "wrong": _wrong(reading, band)})
    return render(request, "climate/climate.html", {"rows": rows})


def _wrong(reading: Reading | None, band: Band) -> list[str]:
    return outside(reading, band) if reading else []


@allow("look")
def place_climate(request: HttpRequest, pk: int) -> HttpResponse:
    place, at, shop = get_object_or_404(Place, pk=pk), timezone.localtime(), Shop.current()
    days = request.GET.get("days", "7")
    if days not in SPANS:
        raise Http404
    start = at - datetime.timedelta(days=int(days))
    rows = ClimateReading.objects.filter(place=place, at__gte=start, at__lte=at).select_related("by", "sensor")
    readings = [as_reading(row) for row in rows]
    band = band_of_place(place, products_in([pk])[pk], shop)
    stretches = stretches_of(readings, datetime.timedelta(hours=LONGEST_GAP[days]))
    return list_page(
        request,
        table_class=ReadingTable,
        rows=rows,
        template="climate/place.html",
        file_name=f"climate-{place.pk}",
        place=place,
        band=band,
        last=max(readings, key=lambda reading: reading.at, default=None),
        wrong=sum(bool(outside(reading, band)) for reading in readings),
        count=len(readings),
        gaps=max(0, len(stretches) - 1),
        gap_hours=LONGEST_GAP[days],
        pictures=_pictures(stretches, band, start, at),
        spans=[(number, name, number == days) for number, name in SPANS.items()],
        sensors=place.sensors.filter(stopped_at__isnull=True),
    )


def _pictures(stretches, band: Band, start, end) -> list[tuple[str, ClimatePicture]]:
    zone = end.tzinfo
    warm = [[(r.at.astimezone(zone), r.temperature_c) for r in stretch] for stretch in stretches]
    damp = [[(r.at.astimezone(zone), r.humidity) for r in stretch if r.humidity is not None] for stretch in stretches]
    span = {"start": start, "end": end}
    pictures = [("Temperature", climate_picture(warm, low=band.min_c, high=band.max_c, unit="°C", **span))]
    if any(damp):
        full = [stretch for stretch in damp if stretch]
        pictures.append(("Humidity", climate_picture(full, high=band.max_humidity, unit="%", **span)))
    return pictures


@allow("read the climate")
def read(request: HttpRequest, pk: int) -> HttpResponse:
    place, now, shop = get_object_or_404(Place, pk=pk), timezone.localtime(), Shop.current()
    asked = "asked" in request.POST
    form = ReadingForm(request.POST or None, units=shop.units, now=now, asks=asked)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        humidity = None if data["humidity"] is None else float(data["humidity"])
        reading = Reading(data["at"], float(data["temperature"]), humidity)
        try:
            new = store_reading(
                place, reading, source=ClimateReading.Source.HAND, by=request.user, sure=data.get("sure", False)
            )
        except UnlikelyReading as error:
            form = ReadingForm(request.POST, units=shop.units, now=now, asks=True)
            form.add_error("temperature", f"{error} Correct it, or tick below that it is right.")
            asked = True
        except ReadingError as error:
            form.add_error("temperature", str(error))
        else:
            messages.success(request, f"Noted for {place}." if new else "A reading of that minute is there already.")
            return redirect("place-climate", place.pk)
    return render(request, "climate/read.html", {"form": form, "place": place, "asked": asked})


@allow("read the climate")
def import_file(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place, pk=pk)
    checks = {"now": timezone.localtime(), "before": partial(reading_before, place)}
    form = FileForm(request.POST or None, request.FILES or None, **checks)
    if request.method == "POST" and form.is_valid():
        new, known = store_file(place, form.cleaned_data["file"].readings, by=request.user)
        messages.success(request, f"{new} readings stored, {known} were there already.")
        return redirect("place-climate", place.pk)
    return render(request, "climate/file.html", {"form": form, "place": place})


@allow("manage sensors")
def add_sensor(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place, pk=pk)
    form = SensorForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        sensor, token = new_sensor(place=place, by=request.user, at=timezone.now(), **form.cleaned_data)
        context = {"sensor": sensor, "token": token, "place": place, "address": Shop.current().address}
        return render(request, "climate/token.html", context)
    return render(request, "climate/sensor.html", {"form": form, "place": place})


@require_POST
@allow("manage sensors")
def stop_sensor(request: HttpRequest, pk: int) -> HttpResponse:
    sensor = get_object_or_404(Sensor, pk=pk)
    actions.stop_sensor(sensor=sensor, at=timezone.now())
    messages.success(request, f"{sensor} may send nothing any more.")
    return redirect("place-climate", sensor.place_id)
