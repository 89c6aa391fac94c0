/** What stands still: housing, handle, pack, gear housing, and the leads that tie parts to their rows. */
import { svg } from 'lit';
import { AXIS_X } from './geometry.ts';

/** Fills and hatches. Light comes from the left. */
export const fills = svg`
  <defs>
    <linearGradient id="shell"><stop offset="0" class="s-dark"/><stop offset=".16" class="s-mid"/><stop offset=".34" class="s-lit"/><stop offset=".7" class="s-mid"/><stop offset="1" class="s-dark"/></linearGradient>
    <linearGradient id="arm" x1="0" y1="0" x2=".35" y2="1"><stop offset="0" class="s-lit"/><stop offset=".55" class="s-mid"/><stop offset="1" class="s-dark"/></linearGradient>
    <linearGradient id="steel"><stop offset="0" class="m-dark"/><stop offset=".18" class="m-mid"/><stop offset=".36" class="m-lit"/><stop offset=".62" class="m-mid"/><stop offset="1" class="m-dark"/></linearGradient>
    <radialGradient id="rotor" cx=".4" cy=".35" r=".8"><stop offset="0" class="m-lit"/><stop offset="1" class="m-mid"/></radialGradient>
    <pattern id="cut" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="5" height="5" class="cut-base"/><path d="M0 0V5" class="cut-line"/></pattern>
    <pattern id="knurl" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V5M0 0H5" class="cut-line"/></pattern>
  </defs>
`;

/** Thin leads from the rows of the record to their parts. */
export const leads = svg`
  <g class="leads">
    <path d="M0 18H352L388 48"/><circle cx="388" cy="48" r="3.2"/>
    <path d="M0 140H98"/><circle cx="100" cy="140" r="3.2"/>
    <path d="M0 250H118"/><circle cx="120" cy="250" r="3.2"/>
    <path d="M0 340H58L104 292"/><circle cx="106" cy="290" r="3.2"/>
    <path d="M0 440H140"/><circle cx="142" cy="440" r="3.2"/>
    <path d="M0 528H130"/><circle cx="132" cy="528" r="3.2"/>
  </g>
`;

/** Handle and pack, behind the housing. Switches, cells and trigger are drawn into them by their own files. */
export const handle = svg`
  <path class="shell arm" d="M232 106C292 104 332 84 366 54L408 132C366 168 312 190 232 208Z"/>
  <path class="soft" d="M318 104C336 96 352 84 366 71L396 127C378 142 360 152 342 160C330 140 322 124 318 104Z"/>
  <path class="thin" d="M331 101L353 152M345 92L368 143M358 81L383 133"/>
`;

export const packCase = svg`
  <path class="shell pack" d="M-30 -60H22L34 -50V50L22 60H-30Z"/>
  <path class="thin" d="M22 -60V60M-30 -44H-38V44H-30"/>
`;

export const barrel = svg`
  <path class="shell" d="M92 380V112C92 62 120 32 ${AXIS_X} 32C216 32 244 62 244 112V380Z"/>
  <path class="thin" d="M93 104C116 96 220 96 243 104"/>
  <path class="vents" d="M132 62V82M150 54V84M168 52V85M186 54V84M204 62V82"/>
`;

/** Gear housing with a window cut into it: hatched walls, open inside. */
export const gearHousing = svg`
  <path class="shell" d="M92 372C92 390 102 394 105 406L112 486H224L231 406C234 394 244 390 244 372Z"/>
  <path class="cut" d="M112 391H224L220 481H116Z"/>
  <path class="inside" d="M122 394H214L211 478H125Z"/>
`;

export const chuckBody = svg`
  <path class="steel" d="M119 501H217L215 544C213 558 198 567 188 578H148C138 567 123 558 121 544Z"/>
  <path class="thin" d="M121 544C140 549 196 549 215 544"/>
`;

/** The ring that sets the clutch: it jumps from tooth to tooth, and turns when it is set. */
export const clutchRing = svg`
  <g class="clutch-ring"><path class="steel" d="M110 486H226V501H110Z"/><path class="knurl" d="M110 486H226V501H110Z"/><path class="clutch-marks"/></g>
  <path class="pointer" d="M${AXIS_X - 6} 478H${AXIS_X + 6}L${AXIS_X} 486Z"/>
`;

export const jaws = svg`
  <path class="steel" d="M149 578L157 600H179L187 578Z"/><path class="thin" d="M163 578L165 600M173 578L171 600"/>
`;
