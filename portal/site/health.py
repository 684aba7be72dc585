"""A sign of life for whatever watches the portal."""

from django.db import connection
from django.http import HttpRequest, HttpResponse


def health(request: HttpRequest) -> HttpResponse:
    """200 when the database answers."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("well\n", content_type="text/plain")
