"""Protects the components: what they print, that they escape, and that colours and styles keep their promises."""

import json
import re
from pathlib import Path

import pytest
from django import forms
from django.core.management import call_command
from django.core.paginator import Paginator
from django.template import Context, Template, TemplateSyntaxError
from django.test import RequestFactory

from portal.site import drawing
from portal.templatetags import ui

STATIC = Path(ui.__file__).parents[1] / "static/portal"
TEMPLATES = Path(ui.__file__).parents[1] / "templates/portal"
NARROW = "\u202f"


def render(text: str, **context) -> str:
    return Template(text).render(Context({"request": RequestFactory().get("/?of=3&page=2"), **context}))


class Small(forms.Form):
    width = forms.IntegerField(help_text="Of the window.")
    name = forms.CharField(required=False)
    sure = forms.BooleanField(required=False)
    source = forms.ChoiceField(widget=forms.RadioSelect, choices=[("hire", "Hire")])


@pytest.mark.parametrize(
    ("tag", "says"),
    [
        ('{% measure 410 "mm" %}', f'<span class="measure">410{NARROW}mm</span>'),
        ('{% measure size "mm" %}', f'<span class="measure">6096{NARROW}×{NARROW}3048{NARROW}mm</span>'),
        ('{% measure 32.94 "ppi" 1 %}', f'<span class="measure">32.9{NARROW}ppi</span>'),
        ('{% measure "3.0 : 1" %}', '<span class="measure">3.0 : 1</span>'),
        ("{% measure nothing %}", '<span class="quiet">not known</span>'),
        ("{% measure 0 %}", '<span class="measure">0</span>'),
    ],
)
def test_measure(tag, says):
    assert render(tag, size=(6096, 3048), nothing=None) == says


def test_stamp_says_draft_where_there_is_no_version():
    assert render("{% stamp %}") == '<span class="stamp stamp-draft">DRAFT</span>'
    assert "version 2, locked, " in render('{% stamp 2 "9c41e07b" "locked" %}')
    assert "9c41 e07b" in render('{% stamp 2 "9c41e07b" "locked" %}')


@pytest.mark.parametrize(
    "tag",
    [
        "{% measure x %}",
        "{% lead x title=x %}",
        "{% owed items %}",
        "{% figures rows %}",
        "{% facts %}{% fact x %}{{ x }}{% endfact %}{% endfacts %}",
        "{% data_table x columns cells %}",
        "{% in_language x x %}",
        "{% person x x x %}",
        "{% diff_row x x was=x %}",
        "{% message x %}",
        "{% nothing_yet x who=x %}{{ x }}{% endnothing_yet %}",
        "{% disclosure x %}{{ x }}{% enddisclosure %}",
        "{% dialog x x %}{{ x }}{% enddialog %}",
        "{% remark x x x x audience=x resolved=x %}{{ x }}{% endremark %}",
        "{% button x name=x value=x %}",
        "{% link_button x x %}",
        "{% post_button x x name=x value=x %}",
        "{% file_drop x x help=x %}",
        "{% progress_line x url=x %}",
        "{% spread x x %}{{ x }}{% endspread %}",
        "{% plate x x %}{{ x }}{% endplate %}",
        "{% street street %}",
        "{% picture_stage x x 10 10 bare=x layer=x hero_words=x hero=hero faults=faults pins=pins %}",
    ],
)
def test_no_component_lets_markup_through(tag):
    evil = '<script>"x"</script>'
    out = render(
        tag,
        x=evil,
        items=[{"what": evil, "by": evil, "url": evil}],
        rows=[(evil, evil)],
        columns=[evil, evil],
        cells=[[evil, evil]],
        street=[
            {"label": evil, "note": evil, "width_mm": 1, "height_mm": 1, "url": evil, "image_url": evil, "alt": evil}
        ],
        hero=(0.1, 0.1, 0.2, 0.2),
        faults=[{"x0": 0, "y0": 0, "x1": 1, "y1": 1, "words": evil}],
        pins=[{"x": 0, "y": 0, "number": evil, "url": evil, "label": evil}],
    )
    assert "<script>" not in out
    assert '"x"' not in out
    assert "&lt;script&gt;" in out


@pytest.mark.parametrize(
    "tag", ['{% measure 1 unt="mm" %}', '{% fact "x" colour="red" %}{% endfact %}', "{% street items big=True %}"]
)
def test_a_misspelt_parameter_is_an_error_when_the_page_is_compiled(tag):
    with pytest.raises(TemplateSyntaxError):
        Template(tag)


@pytest.mark.parametrize("tag", ['{% button "x" kind="loud" %}', '{% message "x" "green" %}'])
def test_an_unknown_kind_or_state_is_an_error(tag):
    with pytest.raises(TemplateSyntaxError):
        render(tag)


def test_field_ties_label_help_and_error_to_its_input():
    form = Small({"width": "wide"})
    out = render('{% field form.width unit="mm" %}', form=form)
    described = re.search(r'aria-describedby="([^"]+)"', out)[1].split()
    assert set(described) == {"id_width_helptext", "id_width_error"}
    for name in described:
        assert f'id="{name}"' in out
    assert 'aria-invalid="true"' in out
    assert '<label for="id_width">Width<span class="visually-hidden">, in mm</span></label>' in out
    assert "Enter a whole number." in out
    assert 'value="wide"' in out


def test_field_of_choices_is_a_named_group():
    out = render("{% field form.source %}", form=Small())
    assert "<fieldset" in out
    assert "<legend>Source</legend>" in out


def test_optional_fields_say_so_and_checkboxes_do_not():
    assert "optional" in render("{% field form.name %}", form=Small())
    assert "optional" not in render("{% field form.width %}{% field form.sure %}", form=Small())


def test_form_errors_lead_to_their_fields_and_count_in_words():
    out = render("{% form_errors form %}", form=Small({"width": "wide"}))
    assert "Two things are to be put right. Nothing you typed is lost." in out
    assert 'href="#id_width"' in out
    assert "data-take-focus" in out


def test_form_errors_of_a_formset_are_found():
    lines = forms.formset_factory(Small)({"form-TOTAL_FORMS": "1", "form-INITIAL_FORMS": "0", "form-0-width": "x"})
    assert 'href="#id_form-0-width"' in render("{% form_errors lines %}", lines=lines)


@pytest.mark.parametrize("form", [Small(), Small({"width": "1", "source": "hire"}), None])
def test_form_errors_of_nothing_wrong_are_nothing(form):
    assert render("{% form_errors form %}", form=form).strip() == ""


def test_pager_keeps_the_rest_of_the_query():
    out = render('{% pager page "shots" %}', page=Paginator(range(1, 61), 20).page(2))
    assert 'href="?page=1&amp;of=3"' in out
    assert "21 to 40 of 60 shots" in out


def test_importmap_lists_every_module_under_its_plain_address():
    out = render("{% importmap %}")
    for module in STATIC.glob("js/*.js"):
        assert f'"/static/portal/js/{module.name}":' in out


def test_data_table_names_each_cell_for_a_phone():
    out = render('{% data_table "Props" columns rows %}', columns=["Prop", ("Quantity", "num")], rows=[["Bowl", 3]])
    assert '<th scope="row">Bowl</th><td class="num" data-label="Quantity">3</td>' in out


def test_importmap_leads_to_addresses_with_a_hash(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path
    storage = "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"
    settings.STORAGES = {**settings.STORAGES, "staticfiles": {"BACKEND": storage}}
    call_command("collectstatic", interactive=False, verbosity=0)
    found = json.loads(re.search(r"<script[^>]*>(.*)</script>", render("{% importmap %}"))[1])["imports"]
    assert re.fullmatch(r"/static/portal/js/geometry\.[0-9a-f]{12}\.js", found["/static/portal/js/geometry.js"])
    for address in found.values():
        assert (tmp_path / address.removeprefix("/static/")).exists()


# ---- drawing


def test_street_keeps_true_relative_size():
    wide, tall = drawing.on_the_street([{"width_mm": 12192, "height_mm": 3048}, {"width_mm": 1200, "height_mm": 1800}])
    width, height = drawing.person_em([wide, tall])
    assert float(wide["em_width"][:-2]) == pytest.approx(40)
    assert float(tall["em_height"][:-2]) / float(wide["em_height"][:-2]) == pytest.approx(1800 / 3048, abs=1e-3)
    assert float(height[:-2]) / float(tall["em_height"][:-2]) == pytest.approx(1750 / 1800, abs=1e-3)
    assert float(width[:-2]) < float(height[:-2])


def test_street_of_a_screen_without_a_size_keeps_its_shape_and_says_so():
    (screen,) = drawing.on_the_street([{"width_mm": None, "height_mm": None, "width_px": 1080, "height_px": 1920}])
    assert not screen["known"]
    assert float(screen["em_width"][:-2]) / float(screen["em_height"][:-2]) == pytest.approx(1080 / 1920, abs=1e-3)


def test_box_takes_its_corners_in_any_order_and_stays_in_the_picture():
    assert drawing.box(0.5, 1.2, 0.25, -1) == drawing.box(0.25, 0, 0.5, 1)
    assert drawing.box(0.25, 0, 0.5, 1)["width"] == "25.000%"


def test_ring_goes_round_what_it_marks_and_its_word_stays_in_the_picture():
    ring = drawing.ring(0.8, 0.8, 1, 1)
    assert float(ring["rx"][:-1]) > 10
    assert ring["ends"]
    assert float(ring["word_y"][:-1]) < 100


# ---- promises of the style sheets


def tokens() -> dict[str, dict[str, str]]:
    """The names by meaning as sRGB hex, for each ground."""
    text = (STATIC / "css/tokens.css").read_text()
    raw = dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{3,6});", text))
    light, dark = text.split("@media (prefers-color-scheme: dark)")[0], text.split(':root[data-ground="dark"]')[1]

    def named(part: str) -> dict[str, str]:
        pairs = re.findall(r"--([\w-]+):\s*(?:var\(--([\w-]+)\)|(#[0-9a-f]{3,6}));", part)
        return {name: raw[of] if of else value for name, of, value in pairs if value or of in raw}

    return {"light": named(light), "dark": named(light) | named(dark)}


def channels(colour: str) -> list[float]:
    digits = colour[1:] if len(colour) == 7 else "".join(c * 2 for c in colour[1:])
    return [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it, from its definition of relative luminance."""

    def luminance(colour: str) -> float:
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels(colour)]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted([luminance(one), luminance(other)])
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("name", ["ink", "quiet", "agreed", "must-fix"])
@pytest.mark.parametrize("under", ["ground", "sheet", "sunk"])
def test_text_has_the_contrast_of_aa(ground, name, under):
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1.
    assert contrast(tokens()[ground][name], tokens()[ground][under]) >= 4.5


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("under", ["ground", "sheet"])
def test_edges_of_controls_have_the_contrast_of_aa(ground, under):
    # WCAG 2.2, success criterion 1.4.11: 3 to 1.
    assert contrast(tokens()[ground]["edge"], tokens()[ground][under]) >= 3


@pytest.mark.parametrize("mark", ["mark-agreed", "mark-wrong", "mark-pin"])
def test_marks_stand_out_of_their_casing(mark):
    # The casing lies between mark and picture, so the mark is seen on any picture.
    assert contrast(tokens()["light"][mark], tokens()["light"]["mark-casing"]) >= 4.5


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("name", ["ground", "sheet", "sunk", "ink", "quiet", "hairline", "edge"])
def test_greys_have_no_hue(ground, name):
    red, green, blue = channels(tokens()[ground][name])
    assert red == green == blue


def test_both_ways_to_the_dark_ground_set_the_same_names():
    text = (STATIC / "css/tokens.css").read_text()
    by_device, by_choice = re.findall(r"color-scheme: dark;(.*?)}", text, re.S)
    assert by_device.split() == by_choice.split()


def test_every_style_sheet_is_linked_and_in_a_layer():
    names = {path.stem for path in STATIC.glob("css/*.css")}
    assert names == set(ui.STYLES)
    for name in names:
        assert re.search(
            r"^@layer (reset|tokens|base|components|pages|utilities) \{", (STATIC / f"css/{name}.css").read_text(), re.M
        )


def test_no_colour_is_set_outside_the_tokens():
    for path in STATIC.glob("css/*.css"):
        if path.stem in ("tokens", "print"):
            continue
        assert not re.findall(r"#[0-9a-f]{3,8}\b|hsl\(|oklch\(", path.read_text()), path.name


def test_no_template_has_what_the_content_security_policy_refuses():
    for path in TEMPLATES.parent.rglob("*.html"):
        if path.is_relative_to(TEMPLATES / "mail"):
            continue
        assert not re.search(r"<style|\sstyle=|\son\w+=|hx-on|javascript:", path.read_text()), path


def test_fonts_and_vendored_files_have_their_licences_beside_them():
    assert {path.name for path in STATIC.glob("fonts/*OFL.txt")} == {
        "instrument-sans-OFL.txt",
        "spline-sans-mono-OFL.txt",
    }
    assert "SIL Open Font License" in (STATIC / "fonts/instrument-sans-OFL.txt").read_text()
    assert (STATIC / "vendor/htmx-LICENSE.txt").exists()
