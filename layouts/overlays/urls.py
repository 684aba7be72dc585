"""Addresses of layout files, below the campaign."""

from django.urls import path

from layouts.overlays import layout_pages, pages

urlpatterns = [
    path("layouts/", pages.layouts, name="layouts"),
    path("layouts/send/", pages.send, name="send-layouts"),
    path("layouts/progress/", pages.progress, name="layouts-progress"),
    path("layouts/came/<str:incoming>/", layout_pages.came, name="came"),
    path("layouts/came/<str:incoming>/answer/", pages.answer, name="answer"),
    path("layouts/came/<str:incoming>/aside/", pages.aside, name="set-aside"),
    path("layouts/came/<str:incoming>/place/", pages.place, name="place-file"),
    path("layouts/came/<str:incoming>/picture/", layout_pages.came_picture, name="came-picture"),
    path("layouts/came/<str:incoming>/seen/", layout_pages.came_seen, name="came-seen"),
    path("layouts/file/<str:layout>/", layout_pages.original, name="original"),
    path("layouts/file/<str:layout>/picture/", layout_pages.picture, name="layout-picture"),
    path("layouts/file/<str:layout>/window/", layout_pages.window, name="layout-window"),
    path("layouts/file/<str:layout>/pixels/", layout_pages.pixels, name="layout-pixels"),
    path("layouts/file/<str:layout>/pixels/<int:column>-<int:line>/", layout_pages.tile, name="layout-tile"),
    path("layouts/file/<str:layout>/current/", layout_pages.current, name="layout-current"),
    path("layouts/file/<str:layout>/again/", layout_pages.again, name="layout-again"),
    path("layouts/of/<str:placement>/", layout_pages.layout, name="layout"),
    path("layouts/of/<str:placement>/send/", layout_pages.send, name="send-layout"),
]
