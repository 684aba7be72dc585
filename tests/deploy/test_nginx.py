"""Protects private media: nginx hands a file over only where a page of the portal has allowed it."""

import shutil
import subprocess
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.services import BASE, backend, free_port, listens, needed, portal, running, wait_for

pytestmark = pytest.mark.services

SHELL = """
from django.core.files import File
from portal.models import User
from portal.brief import actions as brief
from shots.shot import actions as shots
from layouts.pictures import actions as pictures
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
user = User.objects.create_user("keeper@example.com", "Keeper", "a long password", starts_campaigns=True)
other = User.objects.create_user("other@example.com", "Other", "a long password")
by = brief.start_campaign(user, title="T", code="T-1", client="C", languages=["en-GB"])
shot = shots.add_shot(by, title="One")
with open({picture!r}, "rb") as picture:
    mockup = pictures.add_mockup(by, shot.key, file=File(picture, name="mockup.jpg"))
def signed_in(user):
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "allauth.account.auth_backends.AuthenticationBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    return session.session_key
from django.urls import reverse
url = reverse("layouts:mockup-original", args=[by.campaign.key, mockup.key])
print("FACTS", url, mockup.file.path, signed_in(user), signed_in(other))
"""


@pytest.fixture
def picture(tmp_path) -> Path:
    from PIL import Image

    path = tmp_path / "mockup.jpg"
    Image.effect_mandelbrot((600, 400), (-2, -1.5, 1, 1.5), 50).convert("RGB").save(path)
    return path


def get(url: str, session: str = "") -> tuple[int, bytes]:
    class Stay(urllib.request.HTTPRedirectHandler):
        def redirect_request(self, *args, **kwargs):
            return None

    request = urllib.request.Request(url, headers={"Cookie": f"sessionid={session}"} if session else {})
    try:
        with urllib.request.build_opener(Stay).open(request, timeout=10) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as refused:
        with refused:
            return refused.code, refused.read()


def configuration(folder: Path, data: Path, port: int, portal_port: str) -> Path:
    """deploy/nginx.conf as it is, with this test's ports and folders, and without TLS."""
    text = (BASE / "deploy" / "nginx.conf").read_text()
    lines = [line for line in text.splitlines() if "ssl_certificate" not in line]
    text = "\n".join(lines)
    for old, new in (
        ("listen 443 ssl", f"listen 127.0.0.1:{port}"),
        ("server 127.0.0.1:8000", f"server 127.0.0.1:{portal_port}"),
        ("server_name brief.example.org", "server_name localhost"),
        ("/var/lib/brieflock", str(data)),
    ):
        assert old in text
        text = text.replace(old, new)
    temp = "".join(
        f"{kind}_temp_path {folder}/{kind};\n" for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    path = folder / "nginx.conf"
    user = "user root;\n" if shutil.which("id") and subprocess.check_output(["id", "-u"]) == b"0\n" else ""
    path.write_text(
        f"{user}daemon off;\npid {folder}/pid;\nerror_log {folder}/error.log;\nevents {{}}\n"
        f"http {{\n{temp}access_log off;\n{text}\n}}\n"
    )
    return path


def test_original_comes_through_nginx_to_a_member_and_to_nobody_else(tmp_path, picture):
    port = free_port()
    with backend("embedded", tmp_path, BRIEFLOCK_ACCEL_PREFIX="/private/") as env, portal(tmp_path, env) as site:
        said = site.manage("shell", "-c", SHELL.format(picture=str(picture)))
        _, url, path, member, outsider = next(line for line in said.splitlines() if line.startswith("FACTS")).split()
        config = configuration(tmp_path, tmp_path / "data", port, env["BRIEFLOCK_PORT"])
        with running([needed("nginx"), "-c", str(config), "-p", str(tmp_path)], tmp_path / "nginx.log"):
            wait_for(lambda: listens(port), "nginx")
            front = f"http://localhost:{port}"

            assert get(front + url, member) == (200, picture.read_bytes())
            assert get(front + url, outsider)[0] == 404
            assert get(front + url)[0] == 302
            assert get(front + "/private/" + path, member)[0] == 404
            # Straight from the portal there is no body: it was nginx that sent the file.
            assert get(site.address + url, member) == (200, b"")
