from django.urls import path

from . import views

urlpatterns = [
    path("watch/", views.watch, name="watch"),
    path("watch/answer/", views.answer_warning, name="watch-answer"),
    path("watch/mine/", views.mine, name="watch-mine"),
    path("watch/mine/calendar/", views.new_feed, name="watch-feed-new"),
    path("watch/calendar/<str:token>.ics", views.feed, name="watch-feed"),
]
