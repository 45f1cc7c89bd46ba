// people.js - a door and a person, drawn in a few lines, to see how large the piece is.
// Source: a door leaf of 80 x 32 in and somebody 5 ft 7 in tall: common practice, no source.

import { h } from './draw.js';

export const DOOR_MM = { width: 813, height: 2032 };
export const PERSON_MM = { width: 520, height: 1700 };

/** The door; its lower left corner is the origin. */
export function door() {
  const { width: w, height: d } = DOOR_MM;
  const panel = (x, y, pw, ph) => `M${x} ${y}h${pw}v${ph}h${-pw}z`;
  return [
    h('path', { class: 'line frame', d: `M-70 0V${-d - 70}H${w + 70}V0` }),
    h('path', { class: 'line', d: `M0 0V${-d}H${w}V0` }),
    h('path', {
      class: 'line thin',
      d: panel(110, -d + 130, 245, 820) + panel(458, -d + 130, 245, 820) + panel(110, -880, 245, 740) + panel(458, -880, 245, 740),
    }),
    h('circle', { class: 'line', cx: w - 55, cy: -980, r: 24 }),
  ];
}

/** The person, a roll of paper at hand; the feet stand at the origin. */
export function person() {
  const body =
    'M-52 -1478C-60 -1440 -120 -1428 -168 -1402C-205 -1380 -216 -1310 -224 -1220C-232 -1120 -242 -1010 -250 -905' +
    'C-262 -872 -262 -838 -244 -826C-226 -820 -214 -846 -212 -882C-204 -970 -186 -1060 -168 -1150' +
    'M52 -1478C60 -1440 120 -1428 168 -1402C205 -1380 216 -1310 224 -1220C232 -1120 242 -1010 250 -905' +
    'C262 -872 262 -838 244 -826C226 -820 214 -846 212 -882C204 -970 186 -1060 168 -1150' +
    'M-168 -1150C-160 -1020 -178 -760 -196 -560C-120 -536 120 -536 196 -560C178 -760 160 -1020 168 -1150';
  const legs =
    'M-112 -546C-110 -380 -96 -220 -98 -70M-22 -540C-24 -380 -36 -220 -40 -70M112 -546C110 -380 96 -220 98 -70M22 -540C24 -380 36 -220 40 -70';
  const shoes = 'M-98 -70C-132 -44 -146 -14 -140 0H-40C-34 -20 -38 -50 -40 -70M98 -70C132 -44 146 -14 140 0H40C34 -20 38 -50 40 -70';
  return [
    h('path', { class: 'line', d: body }),
    h('path', { class: 'line', d: legs + shoes }),
    h('ellipse', { class: 'line', cx: 0, cy: -1572, rx: 82, ry: 104 }),
    h('path', {
      class: 'line',
      d: 'M-84 -1560C-98 -1650 -52 -1700 0 -1700C52 -1700 98 -1650 84 -1560C70 -1610 40 -1640 4 -1642C-36 -1640 -66 -1610 -84 -1560Z',
    }),
    h('path', { class: 'line', d: 'M-34 -1474C-14 -1456 14 -1456 34 -1474' }),
    h('path', {
      class: 'line',
      d: 'M236 -1180V-925M236 -815V0H312V-1180M236 -1180C236 -1202 312 -1202 312 -1180C312 -1158 236 -1158 236 -1180Z',
    }),
    h('path', { class: 'line thin', d: 'M286 -1182C286 -1190 258 -1190 258 -1180C258 -1168 298 -1170 300 -1181M262 -1163V0' }),
  ];
}
