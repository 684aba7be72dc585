/* Arithmetic of matching a screen to a bank card, without DOM. A match is the screen's own pixels in a millimetre; null: none. */

const CARD_MM = 85.6; // ISO/IEC 7810:2019, ID-1
const CSS_PX_PER_MM = 96 / 25.4; // CSS Values and Units Level 4, 6.2

/* The match that a rectangle of so many CSS px, laid against a card, makes. */
export const devicePixels = (width, ratio) => (width * ratio) / CARD_MM;

/* CSS px in a centimetre of the screen. */
export const centimetre = (match, ratio) => 10 * (match ? match / ratio : CSS_PX_PER_MM);

export const matchSays = (px) => `${px.toFixed(1)}\u202fpx`;
