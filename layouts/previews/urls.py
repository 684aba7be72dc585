"""Addresses of previews, below the campaign."""

from django.urls import path

from layouts.previews import pages, sheet_pages, street_pages

urlpatterns = [
    path("contact-sheet/", sheet_pages.sheet, name="sheet"),
    path("contact-sheet.pdf", sheet_pages.sheet_file, name="sheet-file"),
    path("pictures/", street_pages.street, name="street"),
    path("stage/<str:placement>/", pages.stage, name="stage"),
    path("stage/<str:placement>/crop/", pages.crop, name="crop"),
    path("stage/<str:placement>/detail/", pages.detail, name="detail"),
    path("stage/<str:placement>/proof/", pages.proof, name="proof"),
    path("stage/<str:placement>/again/", pages.again, name="preview-again"),
    path("stage/<str:placement>/<str:which>/<str:tag>/", pages.image, name="image"),
]
