/* <hero-zone>: the rectangle in which the hero food must sit, on the mockup, with its four sides in number fields (per cent).
   Without it: the numbers are typed, and the zone is drawn as it was last kept.
   With it: drag on the bare picture to draw it anew, drag the rectangle, its corners or its edges. On an edge: arrows 1 %,
   with Shift 0.1 %, Page Up and Down 10 %, Home and End. */
import { percentText, stepped, zoneTyped } from "./geometry.js";
import { percentSays } from "./words.js";
import { ZoneBox } from "./zone-box.js";

const SIDES = ["x0", "y0", "x1", "y1"];

class HeroZone extends ZoneBox {
  of = "hero zone";
  sides = SIDES;

  typed(texts) { return zoneTyped(texts); }

  fill(zone) { return SIDES.map((side) => percentText(zone[side])); }

  says(edge, value) { return { now: percentText(value), most: 100, text: percentSays(100 * value) }; }

  edgeAt(edge, key, fine) {
    const to = stepped(key, 100 * this.zone[edge], { step: fine ? 0.1 : 1 });
    return to === null ? null : to / 100;
  }
}

customElements.define("hero-zone", HeroZone);
