/* The one entry. Small behaviours are delegated listeners on the document; what has state is a custom element. */
import "./ground.js";
import "./held-key.js";
import "./speech.js";
import "./tables.js";
import "./ask-dialog.js";
import "./file-drop.js";
import "./pin-place.js";
import "./picture-stage.js";
import "./picture-flicker.js";
import "./hero-zone.js";
import "./window-place.js";
import "./screen-size.js";
import "./sign-out.js";
import "./sent-again.js";
