"""Protects the components in a browser: axe in both grounds, keys by name and effect, what works without scripts."""

from pathlib import Path

import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.test.testcases import LiveServerThread
from playwright.sync_api import Page, expect, sync_playwright

pytestmark = pytest.mark.browser
AXE = Path(__file__).parent / "vendor/axe.min.js"


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def address(settings, tmp_path):
    """The page of components, served without a database: it must not ask for one."""
    settings.STATIC_ROOT = tmp_path  # must exist
    settings.ROOT_URLCONF = "tests.browser.look_urls"
    settings.ALLOWED_HOSTS = ["*"]
    thread = LiveServerThread("localhost", StaticFilesHandler, connections_override={})
    thread.daemon = True
    thread.start()
    thread.is_ready.wait()
    assert thread.error is None, thread.error
    yield f"http://localhost:{thread.port}/look/"
    thread.terminate()


@pytest.fixture
def visit(browser, address):
    """A function that opens the page in a context of its own, and fails the test where a script complains."""
    contexts, complaints = [], []

    def opened(query: str = "", width: int = 1280, **how) -> Page:
        context = browser.new_context(viewport={"width": width, "height": 900}, **how)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.goto(address + query)
        if how.get("java_script_enabled", True):
            # The last module of main.js has run when the editor's box stands; the layout, when it is fetched.
            page.locator(".zone-box").wait_for(state="attached")
            page.locator(".stage-layer").wait_for(state="attached")
        return page

    yield opened
    for context in contexts:
        context.close()
    assert [said for said in complaints if "status of 422" not in said] == []


def violations(page: Page) -> list[str]:
    page.evaluate(AXE.read_text())
    found = page.evaluate("axe.run()")["violations"]
    return [f"{one['id']}: {node['html'][:120]}" for one in found for node in one["nodes"]]


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("query", ["", "?refused"])
def test_axe_finds_no_violation(visit, ground, width, query):
    assert violations(visit(query, width, color_scheme=ground, bypass_csp=True)) == []


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_axe_finds_no_violation_with_a_dialog_open(visit, ground):
    page = visit(color_scheme=ground, bypass_csp=True)
    page.get_by_role("button", name="Put version 3 forward …").click()
    assert violations(page) == []


@pytest.mark.parametrize("look", ["the bare picture", "both sides of a line", "pixel for pixel"])
def test_axe_finds_no_violation_in_a_look(visit, look):
    page = visit(bypass_csp=True)
    page.locator("#stage").get_by_role("button", name=look).click()
    assert violations(page) == []


@pytest.mark.parametrize("width", [360, 390, 768, 1280, 1920, 2560])
def test_no_width_scrolls_sideways(visit, width):
    assert visit(width=width).evaluate("document.documentElement.scrollWidth") == width


# ---- the stage


def layer(page: Page, what: str) -> str:
    return page.locator(".stage-layer").evaluate(f"image => image.style.{what}")


def test_slider_lays_the_layout_over_in_part(visit):
    page = visit()
    slider = page.get_by_role("slider", name="How much of the layout lies over the picture")
    slider.fill("40")
    assert layer(page, "opacity") == "0.4"
    expect(slider).to_have_attribute("aria-valuetext", "layout 40\u202f%")


def test_bare_picture_takes_the_layout_away_and_gives_it_back(visit):
    page = visit()
    button = page.get_by_role("button", name="the bare picture")
    button.click()
    assert layer(page, "opacity") == "0"
    expect(button).to_have_attribute("aria-pressed", "true")
    button.click()
    assert layer(page, "opacity") == "1"


@pytest.mark.parametrize(
    ("key", "at"), [("ArrowRight", 51), ("ArrowLeft", 49), ("PageUp", 60), ("PageDown", 40), ("Home", 0), ("End", 100)]
)
def test_key_moves_the_line(visit, key, at):
    page = visit()
    page.get_by_role("button", name="both sides of a line").click()
    line = page.get_by_role("slider", name="Line between the bare picture and the layout")
    line.press(key)
    expect(line).to_have_attribute("aria-valuetext", f"line at {at}\u202f%")
    clip = layer(page, "clipPath")
    assert clip in (f"inset(0px 0px 0px {at}%)", "inset(0px)" if at == 0 else "")


def test_pointer_drags_the_line(visit):
    page = visit()
    page.get_by_role("button", name="both sides of a line").click()
    line, frame = page.locator(".stage-line"), page.locator("#stage [data-frame]")
    line.scroll_into_view_if_needed()
    box = frame.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 4, box["y"] + box["height"] / 2)
    page.mouse.up()
    expect(line).to_have_attribute("aria-valuenow", "25")


@pytest.mark.parametrize("ratio", [1, 2])
def test_pixel_for_pixel_is_one_pixel_on_one_pixel(visit, ratio):
    page = visit(device_scale_factor=ratio)
    page.locator("#stage").get_by_role("button", name="pixel for pixel").click()
    page.wait_for_selector(".stage-detail")
    shown = page.locator(".stage-detail").evaluate("image => [image.getBoundingClientRect().width, image.naturalWidth]")
    assert shown[0] * ratio == shown[1]


def test_arrows_move_the_picture_pixel_for_pixel_and_escape_leaves(visit):
    page = visit()
    page.locator("#stage").get_by_role("button", name="pixel for pixel").click()
    page.wait_for_selector(".stage-detail")
    frame, left = page.locator("#stage [data-frame]"), "image => parseFloat(image.style.left)"
    before = page.locator(".stage-detail").evaluate(left)
    frame.press("ArrowRight")
    assert page.locator(".stage-detail").evaluate(left) == before - 80
    frame.press("Escape")
    expect(page.locator(".stage-detail")).to_have_count(0)


@pytest.mark.parametrize(("key", "to"), [("]", "#placement-3"), ("[", "#placement-1"), ("ArrowRight", "#placement-3")])
def test_key_flips_to_the_neighbour_while_the_stage_has_the_focus(visit, key, to):
    page = visit()
    page.locator("#stage [data-frame]").press(key)
    assert page.evaluate("location.hash") == to


def test_flip_keys_do_nothing_elsewhere(visit):
    page = visit()
    page.get_by_role("link", name="Skip to").press("]")
    assert page.evaluate("location.hash") == ""


def test_marks_can_be_taken_away(visit):
    page = visit()
    page.locator("#stage").get_by_role("checkbox", name="Show the marks").uncheck()
    expect(page.locator("#stage [data-marks]")).to_be_hidden()


def test_a_look_is_kept_for_the_next_placement(visit):
    page = visit()
    page.get_by_role("button", name="both sides of a line").click()
    page.reload()
    expect(page.get_by_role("button", name="both sides of a line")).to_have_attribute("aria-pressed", "true")


def test_the_stage_starts_again_after_it_was_swapped(visit):
    page = visit()
    page.evaluate("""() => {
        const old = document.querySelector('picture-stage'), made = document.createElement('div');
        made.innerHTML = '<picture-stage id="other" data-width="2" data-height="1">'
            + '<div class="stage-room"><div data-frame><img class="stage-preview" src="data:," alt="x"></div></div>'
            + '<button data-look="pixels"></button><p data-says></p></picture-stage>';
        old.replaceWith(made.firstChild);
    }""")
    expect(page.locator("#other [data-frame]")).to_have_attribute("role", "group")


def test_pointing_at_the_picture_fills_the_comment_s_place(visit):
    page = visit()
    page.get_by_role("button", name="Point at the picture").click()
    box = page.locator("#stage [data-frame]").bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.25, box["y"] + box["height"] * 0.5)
    values = [float(field.input_value()) for field in page.locator("pin-place input").all()]
    assert values == pytest.approx([25, 50], abs=0.1)
    expect(page.locator("#stage .pin-new")).to_have_count(1)


def test_typed_numbers_show_the_comment_s_place(visit):
    page = visit()
    page.locator("[name=pin_x]").fill("10")
    expect(page.locator(".pin-new")).to_have_count(0)
    page.locator("[name=pin_y]").fill("20")
    expect(page.locator(".pin-new circle")).to_have_attribute("cx", "10%")


# ---- the hero zone


@pytest.mark.parametrize(
    ("edge", "key", "field", "to"),
    [
        ("Left", "ArrowLeft", "x0", "52"),
        ("Left", "Shift+ArrowRight", "x0", "53.1"),
        ("Right", "PageUp", "x1", "93"),
        ("Top", "ArrowDown", "y0", "41"),
        ("Top", "Home", "y0", "0"),
        ("Bottom", "ArrowUp", "y1", "78"),
        ("Bottom", "End", "y1", "100"),
    ],
)
def test_key_moves_an_edge_of_the_hero_zone(visit, edge, key, field, to):
    page = visit()
    page.get_by_role("slider", name=f"{edge} edge of the hero zone").press(key)
    expect(page.locator(f"hero-zone [name={field}]")).to_have_value(to)


def test_typing_moves_the_hero_zone(visit):
    page = visit()
    page.locator("hero-zone [name=x0]").fill("20")
    expect(page.get_by_role("slider", name="Left edge of the hero zone")).to_have_attribute("aria-valuenow", "20")


def test_dragging_moves_and_draws_the_hero_zone(visit):
    page = visit()
    frame = page.locator("hero-zone [data-frame]")
    frame.scroll_into_view_if_needed()
    box = frame.bounding_box()

    def drag(x0, y0, x1, y1):
        page.mouse.move(box["x"] + box["width"] * x0, box["y"] + box["height"] * y0)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] * x1, box["y"] + box["height"] * y1, steps=3)
        page.mouse.up()

    def sides():
        return [float(page.locator(f"hero-zone [name={side}]").input_value()) for side in ("x0", "y0", "x1", "y1")]

    drag(0.6, 0.5, 0.5, 0.6)
    assert sides() == pytest.approx([43, 50, 73, 89], abs=0.2)
    drag(0.05, 0.1, 0.25, 0.3)
    assert sides() == pytest.approx([5, 10, 25, 30], abs=0.2)
    drag(0.25, 0.3, 0.4, 0.5)
    assert sides() == pytest.approx([5, 10, 40, 50], abs=0.2)


# ---- what htmx brings


def add(page: Page, html: str) -> None:
    """Put `html` at the end of the page and let htmx see it."""
    page.evaluate(
        "html => { const main = document.querySelector('main'); main.insertAdjacentHTML('beforeend', html);"
        " htmx.process(main.lastElementChild); }",
        html,
    )


def answer(page: Page, status: int, html: str) -> None:
    page.route("**/answer", lambda route: route.fulfill(status=status, content_type="text/html", body=html))


def test_work_s_result_replaces_its_line_and_is_announced(visit):
    page = visit()
    answer(page, 200, '<p id="drawn" data-say="Preview is ready.">Here it is.</p>')
    add(page, '<div hx-get="/answer" hx-trigger="load" hx-swap="outerHTML">Working.</div>')
    expect(page.locator("#drawn")).to_be_visible()
    expect(page.locator("#say")).to_have_text("Preview is ready.")


def test_a_refused_form_is_swapped_in_and_takes_the_focus(visit):
    page = visit()
    answer(page, 422, '<form id="refused"><div role="alert" tabindex="-1" data-take-focus>Two things.</div></form>')
    add(page, '<form hx-post="/answer" hx-swap="outerHTML"><button>Try it</button></form>')
    page.get_by_role("button", name="Try it").click()
    expect(page.locator("#refused [role=alert]")).to_be_focused()


@pytest.mark.parametrize(
    ("status", "html", "says"),
    [
        (409, "<main><p data-says>Version 2 is locked.</p></main>", "Version 2 is locked."),
        (500, "", "The portal could not do this. Nothing was changed"),
    ],
)
def test_a_refusal_is_said_and_the_page_stays(browser, address, status, html, says):
    # Not `visit`: the browser itself writes such an answer to its console.
    page = browser.new_page()
    page.goto(address)
    answer(page, status, html)
    add(page, '<form id="kept" hx-post="/answer"><input value="typed"><button>Try it</button></form>')
    page.get_by_role("button", name="Try it").click()
    expect(page.locator("#messages")).to_contain_text(says)
    expect(page.locator("#kept input")).to_have_value("typed")
    page.context.set_offline(True)
    page.unroute("**/answer")
    page.get_by_role("button", name="Try it").click()
    expect(page.locator("#messages")).to_contain_text("try again when you are online")
    page.close()


def test_files_that_are_refused_bring_the_page_with_its_errors(visit):
    page = visit()
    page.evaluate("document.getElementById('drop').action = '/answer'")
    answer(page, 422, '<main id="main"><ul class="field-errors"><li>a.png is flattened.</li></ul></main>')
    page.set_input_files("#drop-files", [{"name": "a.png", "mimeType": "image/png", "buffer": b"x"}])
    page.get_by_role("button", name="Send").click()
    expect(page.locator("main")).to_have_text("a.png is flattened.")


def test_files_that_are_taken_open_the_page_that_answers(visit):
    page = visit()
    page.evaluate("document.getElementById('drop').action = '/look/?sent'")
    page.set_input_files("#drop-files", [{"name": "a.png", "mimeType": "image/png", "buffer": b"x"}])
    page.get_by_role("button", name="Send").click()
    expect(page.locator("main .lead").first).to_be_visible()


# ---- forms, files, dialogs, grounds


def test_a_refused_form_takes_the_focus_to_its_summary(visit):
    page = visit("?refused")
    expect(page.get_by_role("alert")).to_be_focused()
    page.get_by_role("link", name="Width:").click()
    expect(page.locator("#id_width")).to_be_focused()


def test_chosen_files_are_listed_and_can_be_left_out(visit):
    page = visit()
    files = [
        {"name": name, "mimeType": "image/png", "buffer": b"x" * size}
        for name, size in (("a.png", 3400000), ("b.png", 600))
    ]
    page.set_input_files("#drop-files", files)
    expect(page.locator("file-drop li")).to_have_count(2)
    expect(page.locator("file-drop [data-says]")).to_have_text("2 files, 3.4\u202fMB.")
    page.get_by_role("button", name="Leave out a.png").click()
    expect(page.locator("file-drop li")).to_have_text("b.png 600\u202fBleave out".replace("b.png ", "b.png"))
    assert page.evaluate("document.getElementById('drop-files').files.length") == 1


def test_dropped_files_join_those_chosen(visit):
    page = visit()
    page.set_input_files("#drop-files", [{"name": "a.png", "mimeType": "image/png", "buffer": b"x"}])
    page.evaluate("""() => {
        const dataTransfer = new DataTransfer();
        dataTransfer.items.add(new File(['y'], 'b.png'));
        const drop = new DragEvent('drop', {dataTransfer, bubbles: true, cancelable: true});
        document.getElementById('drop').dispatchEvent(drop);
    }""")
    expect(page.locator("file-drop li")).to_have_count(2)


def test_dialog_takes_the_focus_and_escape_gives_it_back(visit):
    page = visit()
    opener = page.get_by_role("button", name="Put version 3 forward …")
    opener.click()
    expect(page.get_by_role("dialog", name="Put version 3 forward")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(opener).to_be_focused()


def test_a_chosen_ground_is_shown_and_kept_in_a_cookie(visit):
    page = visit(color_scheme="light")
    page.get_by_role("button", name="dark").click()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(26, 26, 26)"
    page.reload()
    assert page.evaluate("document.documentElement.dataset.ground") == "dark"
    page.get_by_role("button", name="as this device has it").click()
    assert page.evaluate("document.cookie.includes('ground')") is False


def test_a_table_on_a_phone_is_still_a_table_to_those_who_hear_it(visit):
    page = visit(width=390)
    expect(page.get_by_role("table", name="Props of the campaign")).to_be_visible()
    expect(page.get_by_role("rowheader", name="Grey stoneware bowl")).to_be_visible()


def test_what_is_pressed_is_large_enough(visit):
    """WCAG 2.2, 2.5.8: 24 by 24 CSS pixels, save for links within a sentence."""
    page = visit(width=390)
    small = page.evaluate("""() => [...document.querySelectorAll('a, button, summary, input, select')].filter((one) => {
        const box = one.getBoundingClientRect(), line = one.closest('p, li.agreed, li.wrong, .form-errors, .foot');
        return box.width > 0 && !one.closest('.skip, svg') && !line && (box.width < 24 || box.height < 24)
            && !(one.labels && one.labels.length);
    }).map((one) => one.outerHTML.slice(0, 80))""")
    assert small == []


def test_without_scripts_everything_has_a_way(visit):
    page = visit(java_script_enabled=False)
    expect(page.locator(".stage-preview").first).to_be_visible()
    expect(page.get_by_role("link", name="the bare picture")).to_be_visible()
    expect(page.get_by_role("slider")).to_have_count(0)
    expect(page.get_by_role("button", name="Point at the picture")).to_have_count(0)
    expect(page.locator("hero-zone [name=x0]")).to_be_editable()
    page.get_by_text("Put version 3 forward …").click()
    expect(page.get_by_text("Its digest is what the signers sign.")).to_be_visible()
    expect(page.locator("#drop-files")).to_be_visible()


def test_sections_of_a_phone_unfold_and_name_the_open_one(visit):
    page = visit(width=390)
    page.get_by_text("Sections: Shots").click()
    expect(page.get_by_role("link", name="Food and props")).to_be_visible()
