"""What each address asks for, written by hand from the table of roles: not drawn from the pages' own declarations."""

from portal.access import May

# name: what reading it asks for, or None where it only takes a form
READ = {
    "portal:campaign": May.READ_VERSIONS,
    "portal:terms": May.READ_DRAFT,
    "portal:brief": May.READ_VERSIONS,
    "portal:version": May.READ_VERSIONS,
    "portal:compare": May.READ_VERSIONS,  # the draft only to who may read it
    "portal:since": May.READ_VERSIONS,
    "portal:version-picture": May.READ_VERSIONS,  # without the draft, of a version alone
    "portal:check": May.READ_VERSIONS,
    "portal:check-stamp": May.READ_VERSIONS,
    "portal:log": May.READ_VERSIONS,
    "portal:log-file": May.READ_DRAFT,  # holds what the reader reads on the page of the log
    "portal:put-forward": May.PUT_FORWARD,
    "portal:withdraw": May.PUT_FORWARD,
    "portal:sign": May.SIGN_OFF,
    "portal:decline": May.SIGN_OFF,
    "portal:sign-for": May.READ_VERSIONS,  # for whom a signer of their side has asked to
    "portal:decline-for": May.READ_VERSIONS,  # the same
    "portal:signatures": May.READ_VERSIONS,
    "portal:delegate": None,
    "portal:end-delegation": None,
    "portal:pivot": May.RAISE_CHANGE,
    "portal:pivot-ready": May.RAISE_CHANGE,
    "portal:pivot-worker": May.RAISE_CHANGE,
    "portal:pivot-photo": May.READ_DRAFT,
    "portal:pivot-original": May.READ_DRAFT,
    "portal:changes": May.READ_DRAFT,
    "portal:raise-change": May.RAISE_CHANGE,
    "portal:change": May.READ_DRAFT,
    "portal:accept-change": None,
    "portal:refuse-change": None,
    "portal:accept-change-for": None,
    "portal:refuse-change-for": None,
    "portal:withdraw-change": None,
    "portal:people": May.READ_VERSIONS,
    "portal:invite": None,
    "portal:resend": None,
    "portal:withdraw-invitation": None,
    "portal:change-member": None,
    "portal:remove-member": May.INVITE_OWN_SIDE,
    "portal:campaign-mail": May.READ_VERSIONS,
    "portal:talk": May.COMMENT,
    "portal:thread": May.COMMENT,
    "portal:answer": None,
    "portal:resolve": None,
    "portal:reopen": None,
    "portal:waivers": May.READ_DRAFT,
    "portal:waive": May.SIGN_OFF,
    "portal:take-back-waiver": None,
    "shots:shots": May.READ_DRAFT,
    "shots:add": May.EDIT_SHOTS,
    "shots:shot": May.READ_DRAFT,
    "shots:edit": May.EDIT_SHOTS,
    "shots:move": None,
    "shots:remove": May.EDIT_SHOTS,
    "shots:add-food": May.EDIT_FOOD,
    "shots:food": May.EDIT_FOOD,
    "shots:remove-food": May.EDIT_FOOD,
    "shots:ask-recipe": None,
    "shots:confirm-recipe": None,
    "shots:clear-substitution": None,
    "shots:add-prop": May.EDIT_PROPS,
    "shots:prop": May.EDIT_PROPS,
    "shots:remove-prop": May.EDIT_PROPS,
    "shots:light": May.EDIT_LIGHT,
    "shots:camera": May.EDIT_CAMERA,
    "shots:roles": May.READ_DRAFT,
    "shots:answer-role": None,
    "shots:add-role": None,
    "shots:remove-role": None,
    "shots:lists": May.READ_VERSIONS,  # to whom may not read the draft it shows nothing of it
    "shots:list-file": May.READ_DRAFT,  # the same
    "layouts:formats": May.READ_DRAFT,
    "layouts:add-formats": None,
    "layouts:wanted": None,
    "layouts:format-by-hand": May.EDIT_SHOTS,
    "layouts:format": May.EDIT_SHOTS,
    "layouts:move-format": None,
    "layouts:remove-format": May.EDIT_SHOTS,
    "layouts:layouts": May.READ_DRAFT,
    "layouts:layouts-progress": May.READ_DRAFT,
    "layouts:send-layouts": None,
    "layouts:came": May.UPLOAD_LAYOUTS,
    "layouts:came-picture": May.UPLOAD_LAYOUTS,
    "layouts:came-seen": May.UPLOAD_LAYOUTS,
    "layouts:answer": None,
    "layouts:set-aside": None,
    "layouts:place-file": May.UPLOAD_LAYOUTS,
    "layouts:original": May.READ_DRAFT,
    "layouts:layout-picture": May.READ_DRAFT,
    "layouts:layout-pixels": May.READ_DRAFT,
    "layouts:layout-tile": May.READ_DRAFT,
    "layouts:layout-window": None,
    "layouts:layout-current": None,
    "layouts:layout-again": None,
    "layouts:layout": May.READ_DRAFT,
    "layouts:send-layout": None,
    "layouts:mockup": May.READ_DRAFT,
    "layouts:hero": May.READ_DRAFT,
    "layouts:shot-pictures": May.READ_DRAFT,
    "layouts:mockup-image": May.READ_DRAFT,  # of a draft; of a version READ_VERSIONS
    "layouts:mockup-original": May.READ_DRAFT,  # the same
    "layouts:mockup-current": None,
    "layouts:mockup-again": None,
    "layouts:street": May.READ_DRAFT,
    "layouts:sheet": May.READ_DRAFT,
    "layouts:sheet-file": May.READ_DRAFT,  # of a draft; of a version READ_VERSIONS
    "layouts:stage": May.READ_DRAFT,
    "layouts:crop": None,
    "layouts:detail": None,
    "layouts:proof": None,
    "layouts:preview-again": None,
    "layouts:captures": May.READ_DRAFT,
    "layouts:capture-file": May.READ_DRAFT,  # of a draft; of a version READ_VERSIONS
    "layouts:capture": May.READ_DRAFT,
    "layouts:capture-changes": May.READ_DRAFT,
    "layouts:accept-capture": None,
    "layouts:settle-capture": None,
    "layouts:allow-capture": None,
    "layouts:image": May.READ_DRAFT,  # of a draft; of a version READ_VERSIONS
    "layouts:set-overlays": May.READ_DRAFT,  # the same
    "layouts:set-overlay": May.READ_VERSIONS,  # of a set drawn from a draft READ_DRAFT
    "layouts:on-the-day": May.READ_DRAFT,  # of a draft; of a version READ_VERSIONS
    "layouts:on-the-day-layout": May.READ_DRAFT,
}

# name: what sending a form to it asks for; a name that is not here takes no form
WRITE = {
    "portal:terms": May.EDIT_SHOTS,
    "portal:since": May.READ_VERSIONS,  # keeps what this reader has seen; changes nothing of the brief
    "portal:put-forward": May.PUT_FORWARD,
    "portal:withdraw": May.PUT_FORWARD,
    "portal:sign": May.SIGN_OFF,
    "portal:decline": May.SIGN_OFF,
    "portal:sign-for": May.READ_VERSIONS,  # for whom a signer of their side has asked to
    "portal:decline-for": May.READ_VERSIONS,  # the same
    "portal:delegate": May.SIGN_OFF,
    "portal:end-delegation": May.READ_VERSIONS,  # the two, and who decides about the signer's place
    "portal:pivot": May.RAISE_CHANGE,
    "portal:raise-change": May.RAISE_CHANGE,
    "portal:accept-change": May.DECIDE_CHANGE,
    "portal:refuse-change": May.DECIDE_CHANGE,
    "portal:accept-change-for": May.READ_DRAFT,  # for whom a signer of their side has asked to
    "portal:refuse-change-for": May.READ_DRAFT,  # for whom a signer of their side has asked to
    "portal:withdraw-change": May.RAISE_CHANGE,  # and then whoever raised it, or who may put forward
    "portal:invite": May.INVITE_OWN_SIDE,
    "portal:resend": May.INVITE_OWN_SIDE,
    "portal:withdraw-invitation": May.INVITE_OWN_SIDE,
    "portal:change-member": May.INVITE_OWN_SIDE,
    "portal:remove-member": May.INVITE_OWN_SIDE,
    "portal:campaign-mail": May.READ_VERSIONS,  # how this reader is told; changes nothing of the campaign
    "portal:thread": May.COMMENT,
    "portal:answer": May.COMMENT,
    "portal:resolve": May.COMMENT,
    "portal:reopen": May.COMMENT,
    "portal:waive": May.SIGN_OFF,
    "portal:take-back-waiver": May.SIGN_OFF,
    "shots:add": May.EDIT_SHOTS,
    "shots:edit": May.EDIT_SHOTS,
    "shots:move": May.EDIT_SHOTS,
    "shots:remove": May.EDIT_SHOTS,
    "shots:add-food": May.EDIT_FOOD,
    "shots:food": May.EDIT_FOOD,
    "shots:remove-food": May.EDIT_FOOD,
    "shots:ask-recipe": May.EDIT_FOOD,
    "shots:confirm-recipe": May.CONFIRM_RECIPE,
    "shots:clear-substitution": May.CONFIRM_RECIPE,
    "shots:add-prop": May.EDIT_PROPS,
    "shots:prop": May.EDIT_PROPS,
    "shots:remove-prop": May.EDIT_PROPS,
    "shots:light": May.EDIT_LIGHT,
    "shots:camera": May.EDIT_CAMERA,
    "shots:answer-role": May.EDIT_DAYS,
    "shots:add-role": May.EDIT_DAYS,
    "shots:remove-role": May.EDIT_DAYS,
    "layouts:add-formats": May.EDIT_SHOTS,
    "layouts:wanted": May.EDIT_SHOTS,
    "layouts:format-by-hand": May.EDIT_SHOTS,
    "layouts:format": May.EDIT_SHOTS,
    "layouts:move-format": May.EDIT_SHOTS,
    "layouts:remove-format": May.EDIT_SHOTS,
    "layouts:send-layouts": May.UPLOAD_LAYOUTS,
    "layouts:answer": May.UPLOAD_LAYOUTS,
    "layouts:set-aside": May.UPLOAD_LAYOUTS,
    "layouts:place-file": May.UPLOAD_LAYOUTS,
    "layouts:layout-pixels": May.UPLOAD_LAYOUTS,  # asks the worker for the file's own pixels; changes nothing
    "layouts:layout-window": May.UPLOAD_LAYOUTS,
    "layouts:layout-current": May.UPLOAD_LAYOUTS,
    "layouts:layout-again": May.UPLOAD_LAYOUTS,
    "layouts:send-layout": May.UPLOAD_LAYOUTS,
    "layouts:mockup": May.UPLOAD_MOCKUPS,
    "layouts:hero": May.EDIT_SHOTS,
    "layouts:mockup-current": May.UPLOAD_MOCKUPS,
    "layouts:mockup-again": May.UPLOAD_MOCKUPS,
    "layouts:crop": May.EDIT_SHOTS,
    "layouts:proof": May.READ_DRAFT,  # asks the worker how it will print; changes nothing of the brief
    "layouts:detail": May.READ_DRAFT,  # asks the worker for the full pixels; changes nothing of the brief
    "layouts:preview-again": May.UPLOAD_MOCKUPS,
    "layouts:accept-capture": May.EDIT_CAMERA,
    "layouts:settle-capture": May.EDIT_CAMERA,
    "layouts:allow-capture": May.UPLOAD_LAYOUTS,
    "layouts:set-overlays": May.READ_DRAFT,  # asks the worker for pictures; changes nothing of the brief
    "layouts:on-the-day": May.READ_DRAFT,  # has a layout looked into; changes nothing of the brief
}

# Addresses of no campaign, and who may open them.
SIGNED_OUT = {"health", "account", "portal:join", "portal:stop-mail", "look"}
SIGNED_IN = {"portal:home", "portal:start", "portal:me", "portal:my-mail"}

# What the worker does: each kind of work, and the addresses that show what it makes. Their rows above say to whom.
WORK = {
    "portal.digest": [],  # a mail to one member, of what they may read when it goes
    "layouts.prepare": [
        "layouts:layout",
        "layouts:layout-picture",
        "layouts:came-picture",
        "layouts:on-the-day-layout",
    ],
    "layouts.look": ["layouts:layouts", "layouts:came"],
    "layouts.tiles": ["layouts:layout-pixels", "layouts:layout-tile"],
    "layouts.copies": ["layouts:mockup-image", "portal:version-picture"],
    "layouts.photo": ["portal:pivot-photo"],
    "layouts.preview": ["layouts:stage", "layouts:image", "layouts:street"],
    "layouts.detail": ["layouts:image"],
    "layouts.proof": ["layouts:image"],
    "layouts.set-overlays": ["layouts:set-overlay"],
}
# Messages to the worker, and what they carry: the number of a row at most, and never who asks or what is to be done.
TASKS = {
    "portal.look": ["work_id"],
    "portal.broken_off": ["work_id", "past_limits"],
    "portal.sweep": [],
    "portal.gather": [],
}
# Commands are for who has the server's shell, and with it the database; no member reaches them. None of them changes a
# campaign that is there.
COMMANDS = {
    "add_person",  # accounts only
    "make_ready",  # tables, static files, the demo on an empty portal
    "load_demo",  # a campaign of its own, by the acts of its members
    "import_campaign",  # a campaign of its own, on an empty portal
    "export_campaign",
    "verify_campaign",
    "inspect_layout",
    "measure_preview",
    "plan_captures",
    "render_preview",
}
