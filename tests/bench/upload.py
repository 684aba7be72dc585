"""How long a designer waits for a preview: `python -m tests.bench.upload [runs]`.

From pressing "Send" on a layout of 12192 x 3048 px, against a mockup of 6000 x 4000 px, until the stage in a browser
shows it laid over: embedded default, gunicorn and one prefork worker as deploy/start runs them. Target: 5 s.
"""

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image
from playwright.sync_api import Page, sync_playwright

from fixtures.demo.artwork import Artwork, draw
from tests.services import BASE, Portal, backend, portal

EMAIL, PASSWORD = "keeper@example.com", "a long enough word"
TARGET = 5.0
SIZE = (12192, 3048)
SETUP = """
from pathlib import Path
from django.core.files import File
from layouts.formats import actions as formats, catalogue
from layouts.pictures import actions as pictures
from portal.brief import actions as brief
from portal.people.accounts import make_account
from shots.shot import actions as shots
keeper = make_account({email!r}, name="Keeper", password={password!r}, starts_campaigns=True)
by = brief.start_campaign(keeper, title="Upload", code="U-1", client="C", languages=["en-GB"])
shot = shots.add_shot(by, title="The tall stack")
formats.add_formats(by, formats=catalogue.chosen(["96-sheet"]))
with open({picture!r}, "rb") as picture:
    pictures.add_mockup(by, shot.key, file=File(picture, name="mockup.jpg"))
pictures.mark_hero(by, shot.key, zone=(0.409, 0.4275, 0.851, 0.7825))
print("KEYS", by.campaign.key, shot.placements.get().key)
"""


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    with tempfile.TemporaryDirectory() as folder:
        plain = [_drawn(Path(folder), number) for number in range(runs)]
        grainy = [_with_grain(path) for path in plain]
        with backend("embedded", Path(folder) / "site") as env, portal(Path(folder) / "site", env) as site:
            taken = _measured(site, plain + grainy)
        sizes = [statistics.mean(path.stat().st_size for path in files) / 1e6 for files in (plain, grainy)]
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, Python {sys.version.split()[0]}")
    _say(f"type and a mark alone, {sizes[0]:.1f} MB each", taken[:runs])
    _say(f"with a grainy band across, {sizes[1]:.1f} MB each", taken[runs:])


def _say(title: str, taken: list[tuple[float, float]]) -> None:
    print(f"\n{title}\n{'run':>4}{'answered, s':>14}{'on the page, s':>16}")
    for number, (answered, seen) in enumerate(taken, start=1):
        print(f"{number:4}{answered:14.2f}{seen:16.2f}")
    seen = [both[1] for both in taken]
    median = statistics.median(seen)
    print(f"on the page: median {median:.2f} s, least {min(seen):.2f} s, most {max(seen):.2f} s")
    print(f"target {TARGET:.0f} s: {'reached' if median <= TARGET else 'MISSED'}")


def _drawn(folder: Path, number: int) -> Path:
    """A layout of its own for every run: the same file would be known already."""
    path = folder / f"layout-{number}.png"
    draw(
        Artwork(*SIZE, headline=[f"Slow morning {number},", "stacked."], legal="Serving suggestion.", ink="dark"), path
    )
    return path


def _with_grain(plain: Path) -> Path:
    """The same with a half-clear band of noise: pixels that no compression makes small."""
    with Image.open(plain) as image:
        pixels = np.asarray(image).copy()
        profile = image.info["icc_profile"]
    band = pixels[-SIZE[1] // 6 :]
    band[:] = np.random.default_rng(7).integers(0, 255, band.shape, np.uint8)
    path = plain.with_stem(plain.stem + "-grain")
    Image.fromarray(pixels).save(path, compress_level=1, icc_profile=profile)
    return path


def _measured(site: Portal, files: list[Path]) -> list[tuple[float, float]]:
    said = site.manage(
        "shell",
        "-c",
        SETUP.format(email=EMAIL, password=PASSWORD, picture=str(BASE / "fixtures/pictures/tall-stack.jpg")),
    )
    _, campaign, placement = next(line for line in said.splitlines() if line.startswith("KEYS")).split()
    here = f"{site.address}/c/{campaign}"
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page()
        page.set_default_timeout(120_000)
        page.goto(site.address)
        page.get_by_label("E-mail").fill(EMAIL)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.get_by_role("link", name="Upload").wait_for()
        page.goto(f"{here}/stage/{placement}/")
        page.locator("img.stage-preview").wait_for()  # the bare picture: the mockup has been read
        taken = [_once(page, here, placement, path) for path in files]
        browser.close()
    return taken


def _once(page: Page, here: str, placement: str, path: Path) -> tuple[float, float]:
    """Seconds until the upload was answered, and until the stage shows this revision laid over."""
    before = page.locator("img.stage-preview").get_attribute("src")
    page.goto(f"{here}/layouts/of/{placement}/")
    page.locator("input[type=file]").first.set_input_files(path)
    begun = time.perf_counter()
    with page.expect_navigation():
        page.locator("[data-send]").first.click()
    answered = time.perf_counter() - begun
    page.goto(f"{here}/stage/{placement}/")
    page.wait_for_function(
        """before => { const image = document.querySelector('img.stage-preview');
        return image && image.getAttribute('src') !== before && image.alt.includes('layout over')
            && image.complete && image.naturalWidth > 0 && !document.querySelector('#picture .working'); }""",
        arg=before,
        polling=50,
    )
    return answered, time.perf_counter() - begun


if __name__ == "__main__":
    main()
