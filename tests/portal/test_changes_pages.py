"""Protects pages of changes: raised, read and decided by who may; money kept back; what is locked is what leaves."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from portal.brief import actions as brief
from portal.changes import actions
from portal.models import Change
from shots.props.actions import edit_prop
from tests.agreed_world import ROLES, agreed
from tests.filled import filled


@pytest.fixture
def world(db, monkeypatch):
    return agreed(monkeypatch)


def at(world, name, *args):
    return reverse(f"portal:{name}", args=[world.campaign.key, *args])


def opened_and_edited(world):
    """Change 1 has opened the props of shot 2, and one of them is otherwise by now."""
    made = world.opened(("props", world.shots[1].key), by="agency", money=Decimal("4711.50"), currency="GBP")
    edit_prop(world.producer, world.things[1].key, note="Amber glass")
    return made


def test_a_change_is_raised_by_its_form(world, sign_in):
    page = sign_in(world.agency).get(at(world, "raise-change") + f"?open=props/{world.shots[1].key}")
    form = filled(page, field="what")
    assert form["opens"] == [f"props/{world.shots[1].key}"]
    form |= {
        "what": ["Amber tumbler."],
        "why": ["Clear glass cannot be seen."],
        "asked_by": ["Mira Holt, who is not here"],
        "hours_low": ["1"],
        "hours_likely": ["1.5"],
        "hours_high": ["4"],
        "money": ["4711.5"],
        "currency": ["GBP"],
        "opens": [f"props/{world.shots[1].key}", "campaign/"],
    }
    answer = sign_in(world.agency).post(at(world, "raise-change"), form)
    made = Change.objects.get()
    assert answer.url == at(world, "change", made.key)
    assert made.opens == [["campaign", ""], ["props", world.shots[1].key]]
    assert (made.money, made.currency, made.hours_likely) == (Decimal("4711.5"), "GBP", Decimal("1.5"))

    again = sign_in(world.agency).post(at(world, "raise-change"), form)  # a double click
    assert again.url == answer.url
    assert Change.objects.count() == 1


def test_what_was_typed_comes_back_with_what_is_wrong(world, sign_in):
    page = sign_in(world.stylist).get(at(world, "raise-change"))
    form = filled(page, field="what") | {"what": ["Amber tumbler."], "hours_low": ["3"], "opens": ["light/"]}
    answer = sign_in(world.stylist).post(at(world, "raise-change"), form)
    assert answer.status_code == 422
    assert "Amber tumbler." in answer.text
    assert "Say why" in answer.text
    assert filled(answer, field="what")["opens"] == ["light/"]
    assert not Change.objects.exists()
    form |= {"why": ["W"], "asked_by": ["M"]}
    assert "all three" in sign_in(world.stylist).post(at(world, "raise-change"), form).text


def test_the_form_is_only_there_for_a_locked_brief_and_for_who_may(world, sign_in):
    for role in ROLES:
        status = sign_in(getattr(world, role)).get(at(world, "raise-change")).status_code
        assert status == (403 if role == "designer" else 200), role
    world.campaign.versions.model.objects.all()
    type(world.campaign).objects.update(locked_version=None)
    assert sign_in(world.agency).get(at(world, "raise-change")).status_code == 409


def test_a_signer_decides_on_the_page(world, sign_in):
    made = world.raised(("props", world.shots[1].key))
    page = sign_in(world.client).get(at(world, "change", made.key))
    assert "Accept it" in page.text
    assert "the props of shot 2" in page.text
    assert sign_in(world.client).post(at(world, "accept-change", made.key), {"typed_name": " "}).status_code == 422
    refusal = {"typed_name": "C", "why": ""}
    assert sign_in(world.client).post(at(world, "refuse-change", made.key), refusal).status_code == 422
    answer = sign_in(world.client).post(at(world, "accept-change", made.key), {"typed_name": "C. Lient"}, follow=True)
    assert "Change 1 is accepted." in answer.text
    assert "It has opened the props of shot 2" in answer.text
    assert "Accept it" not in answer.text
    late = sign_in(world.agency).post(at(world, "refuse-change", made.key), {"typed_name": "A", "why": "No"})
    assert late.status_code == 409
    assert "accepted change 1 already" in late.text


def test_only_signers_see_the_forms_of_a_decision(world, sign_in):
    made = world.raised()
    for role in ROLES:
        page = sign_in(getattr(world, role)).get(at(world, "change", made.key))
        assert ("Accept it" in page.text) == (role in ("client", "agency")), role
        withdraws = role in ("stylist", "agency", "producer", "photographer")
        assert ("Withdraw it" in page.text) == withdraws, role
    assert sign_in(world.other).get(at(world, "change", made.key)).status_code == 403
    assert sign_in(world.producer).post(at(world, "withdraw-change", made.key), {"why": ""}).status_code == 302
    assert Change.objects.get().state == "withdrawn"


def test_a_change_of_another_campaign_is_no_page(world, monkeypatch, sign_in):
    made = agreed(monkeypatch).raised()
    client = sign_in(world.client)
    assert client.get(at(world, "change", made.key)).status_code == 404
    for name in ("accept-change", "refuse-change", "withdraw-change"):
        answer = client.post(at(world, name, made.key), {"typed_name": "C", "why": "No"})
        assert answer.status_code == 404
    assert Change.objects.get().state == "asked"


def test_money_is_read_by_who_may_see_the_estimate_and_by_nobody_else(world, sign_in):
    made = opened_and_edited(world)
    version = world.lock_again()
    urls = [
        at(world, "changes"),
        at(world, "change", made.key),
        at(world, "version", version.number),
        at(world, "compare") + "?old=1&new=2",
        at(world, "brief"),
        at(world, "log"),
        at(world, "campaign"),
    ]
    for role in ROLES:
        client = sign_in(getattr(world, role))
        pages = "".join(client.get(url).text for url in urls)
        log = client.get(at(world, "log-file"))
        pages += b"".join(log.streaming_content).decode()
        may = role in ("client", "agency", "producer", "photographer")
        told = "4,711.50" in pages or "4711.50" in pages
        assert told == may, role
        assert bool(re.search(r"\bGBP\b", pages)) == may, role  # three letters of a form's word are none
        assert ("Money of changes" in pages) == may, role


def test_a_version_says_of_each_effect_of_a_change_that_nobody_said_it(world, sign_in):
    hours = {"hours_low": Decimal("1"), "hours_likely": Decimal("1.5"), "hours_high": Decimal("3")}
    world.opened(("props", world.shots[1].key), **hours, retouching="None.", plates="One more.", lists="Amber glass.")
    edit_prop(world.producer, world.things[1].key, note="Amber glass")
    said = sign_in(world.client).get(at(world, "version", world.lock_again().number)).text
    world.opened(("props", world.shots[0].key), what="Green glass.")
    edit_prop(world.producer, world.things[0].key, note="Green")
    unsaid = sign_in(world.client).get(at(world, "version", world.lock_again().number)).text
    effects = ("Hours", "Retouching", "Plates", "Lists")
    assert [said.count(f"<dt>{effect}</dt><dd>not said</dd>") for effect in effects] == [0] * 4
    assert [unsaid.count(f"<dt>{effect}</dt><dd>not said</dd>") for effect in effects] == [1] * 4


def test_the_raise_form_asks_nobody_for_money_who_may_not_see_it(world, sign_in):
    assert "Currency" in sign_in(world.agency).get(at(world, "raise-change")).text
    page = sign_in(world.stylist).get(at(world, "raise-change"))
    assert "Currency" not in page.text
    form = filled(page, field="what") | {"what": ["A"], "why": ["B"], "asked_by": ["C"]}
    sign_in(world.stylist).post(at(world, "raise-change"), form | {"money": ["9"], "currency": ["GBP"]})
    assert Change.objects.get().money is None


def test_the_list_tells_each_story_and_the_totals(world, sign_in):
    hours = {"hours_low": Decimal(1), "hours_likely": Decimal(2), "hours_high": Decimal(4)}
    world.opened(("light", ""), by="agency", money=Decimal("100"), currency="GBP", **hours)
    world.opened(("camera", ""), by="agency", money=Decimal("-20.25"), currency="GBP", **hours)
    world.opened(by="agency", money=Decimal("7"), currency="EUR")
    refused = world.raised(what="A second waterfall.", **hours)
    actions.refuse_change(world.client, refused.key, typed_name="Client", why="No water on this set.")
    page = sign_in(world.client).get(at(world, "changes")).text
    assert "Three changes are accepted, and one was refused." in page
    assert "likely 4 h, from 2 to 8 h, without one that does not say" in page
    assert "EUR 7.00; GBP 79.75" in page
    assert "A second waterfall." in page
    assert f"by Client ({world.client.user}), " in page
    assert ": No water on this set." in page


def test_the_first_page_says_what_is_open_and_who_must_decide(world, sign_in):
    world.raised(("light", ""), what="A softer window.")
    client = sign_in(world.client).get(at(world, "campaign")).text
    assert "One change waits for your decision." in client
    assert "A softer window." in client
    assert "for your decision" not in sign_in(world.stylist).get(at(world, "campaign")).text
    opened_and_edited(world)
    for role in ROLES:
        assert (
            "Change 2 has opened the props of shot 2." in sign_in(getattr(world, role)).get(at(world, "campaign")).text
        )
    outside = sign_in(world.other).get(at(world, "campaign")).text
    assert "locked as version 1" in outside
    assert "opened the props" not in outside


def test_a_persons_campaigns_say_that_a_change_waits_for_them(world, sign_in):
    world.raised(("light", ""))
    assert "One change waits for your decision." in sign_in(world.client).get(reverse("portal:home")).text
    assert "for your decision" not in sign_in(world.stylist).get(reverse("portal:home")).text
    opened_and_edited(world)
    brief.put_forward(world.producer)
    assert "Until all have signed, version 1 holds." in sign_in(world.stylist).get(reverse("portal:home")).text


def test_only_what_is_opened_has_its_forms(world, sign_in):
    world.opened(("props", world.shots[1].key))
    client = sign_in(world.producer)
    one, two = (client.get(reverse("shots:shot", args=[world.campaign.key, shot.key])).text for shot in world.shots)
    assert "Add a prop" in two
    assert "Add a prop" not in one
    for text in (one, two):
        assert "change 1 has opened the props of shot 2" in text
        assert "Raise a change" in text
        assert "Add a food" not in text
    edit = [reverse("shots:prop", args=[world.campaign.key, prop.key]) for prop in world.things]
    assert [client.get(url).status_code for url in edit] == [409, 200]
    remove = [reverse("shots:remove-prop", args=[world.campaign.key, prop.key]) for prop in world.things]
    assert [client.get(url).status_code for url in remove] == [409, 200]
    add = [reverse("shots:add-prop", args=[world.campaign.key, shot.key]) for shot in world.shots]
    assert [client.get(url).status_code for url in add] == [409, 200]
    assert client.get(reverse("shots:light", args=[world.campaign.key, world.shots[1].key])).status_code == 409
    assert client.get(reverse("shots:add", args=[world.campaign.key])).status_code == 409
    assert client.get(at(world, "terms")).status_code == 200


def listed(client, world):
    return client.get(reverse("shots:list-file", args=[world.campaign.key, "props", "csv"])).text


@pytest.mark.parametrize("then", ["edited", "out"])
def test_what_leaves_is_drawn_from_the_locked_version(world, sign_in, then):
    """While the draft is being changed, and while a second version is out."""
    opened_and_edited(world)
    if then == "out":
        brief.put_forward(world.producer)
    for role in ("producer", "client", "other"):
        client = sign_in(getattr(world, role))
        rows = listed(client, world)
        assert "version 1, locked" in rows
        assert "Amber glass" not in rows
        page = client.get(at(world, "brief")).text
        assert "This is version 1, as it was signed and locked." in page
        assert "Amber glass" not in page
        head = "version 1, locked" + ("; version 2, put forward" if then == "out" else "")
        assert world.now().locked_version.digest[:4] in page
        assert head.split(";")[-1] in page
        lists = client.get(reverse("shots:lists", args=[world.campaign.key])).text
        assert "Amber glass" not in lists
        assert "Add a prop" not in lists


def test_the_running_head_says_what_has_opened_it(world, sign_in):
    opened_and_edited(world)
    world.opened(("light", ""))
    assert "opened by changes 1 and 2" in sign_in(world.producer).get(at(world, "changes")).text


def test_while_a_second_version_is_out_the_first_page_asks_for_signatures(world, sign_in):
    opened_and_edited(world)
    brief.put_forward(world.producer)
    page = sign_in(world.client).get(at(world, "campaign")).text
    assert "Version 2 waits for your signature" in page
    assert "Until it is signed by all, version 1 holds." in page
    assert "Version 2 is out for signature" in sign_in(world.producer).get(at(world, "put-forward")).text


def test_after_the_second_lock_the_first_version_is_superseded_and_a_stamp_of_it_says_so(world, sign_in):
    opened_and_edited(world)
    first = world.now().locked_version
    world.lock_again()
    client = sign_in(world.client)
    assert "superseded" in client.get(at(world, "brief")).text
    assert "A later version has taken its place." in client.get(at(world, "version", 1)).text
    page = client.get(at(world, "check") + f"?stamp={first.digest[:8]}").text
    assert "was superseded" in page
    assert "The one that holds is version 2." in page
    assert "Amber glass" in page


def test_the_page_to_put_forward_says_what_hinders_it_and_what_it_cites(world, sign_in):
    made = world.opened(("props", world.shots[1].key))
    client = sign_in(world.producer)
    assert "Nothing in the brief differs from version 1" in client.get(at(world, "put-forward")).text
    edit_prop(world.producer, world.things[1].key, note="Amber glass")
    page = client.get(at(world, "put-forward"))
    assert f'href="{at(world, "change", made.key)}"' in page.text
    type(world.things[0]).objects.filter(pk=world.things[0].pk).update(note="Else")
    assert "where no change has opened it: Props" in client.get(at(world, "put-forward")).text
    answer = client.post(at(world, "put-forward"), filled(page, field="digest"))
    assert answer.status_code == 409


def test_a_comparison_tells_the_changes_in_words(world, sign_in):
    opened_and_edited(world)
    world.lock_again()
    page = sign_in(world.stylist).get(at(world, "compare") + "?old=1&new=2").text
    assert "Change 1" in page
    assert "Amber glass" in page


def test_a_locked_first_page_leads_to_the_log_once_opened_or_not(world, sign_in):
    says = "What has happened so far"
    closed = sign_in(world.producer).get(at(world, "campaign")).text
    world.opened(("light", ""), by="agency", what="Softer.")
    opened = sign_in(world.producer).get(at(world, "campaign")).text
    assert "What has been opened since" in opened
    assert (closed.count(says), opened.count(says)) == (1, 1)
