/**
 * The motor seen along its axis from behind: 0 at the axis of phase A, upward, turning clockwise when the screw goes in. Drawn
 * twice, of which one shows: a single pole pair in electrical degrees with every letter, or the whole motor in mechanical ones.
 */
import { svg } from 'lit';
import { polar, SECTION, segment } from './geometry.ts';

/**
 * Coil sides: a positive current goes away from you (cross) where sign is 1 and comes toward you (dot) where it is -1,
 * so that by the right-hand rule phase A magnetizes upward.
 */
export const SIDES = [
  { phase: 0, sign: 1, at: 90 },
  { phase: 2, sign: -1, at: 150 },
  { phase: 1, sign: 1, at: 210 },
  { phase: 0, sign: -1, at: 270 },
  { phase: 2, sign: 1, at: 330 },
  { phase: 1, sign: -1, at: 30 },
] as const;
const LETTERS = ['A', 'B', 'C'] as const;
const BADGES = ['N', 'S', 'ψ', 'i', 'E'] as const;
/** Half of what a coil side and a magnet take [electrical degrees]. */
const HALF_SIDE = 26;
const HALF_MAGNET = 56;

const { x, y, radius, bore, rotor } = SECTION;

const magnet = (at: number, half: number): string => segment(rotor - 17, rotor - 1, at - half, at + half);
const slotShape = (at: number, half: number): string => segment(bore + 3, radius - 10, at - half, at + half);
const arrowUp = (tip: number, wide: number): string =>
  `M${x} ${y}V${y - tip + 2}M${x - wide} ${y - tip + 13}L${x} ${y - tip}L${x + wide} ${y - tip + 13}`;

/** The same shape once per pole pair, around the center. */
const around = (pairs: number, shape: (pair: number) => string): string =>
  Array.from({ length: pairs }, (_, k) => shape(k)).join('');

/** Both drawings. */
export const section = (pairs: number) => svg`
  <g class="section">
    <circle class="steel-flat" cx=${x} cy=${y} r=${radius}/>
    <circle class="thin" cx=${x} cy=${y} r=${radius - 7}/>
    <g class="one">
      ${SIDES.map(({ phase, at }) => svg`<path class="slot" d=${slotShape(at, HALF_SIDE)}/><path class="coil p${phase}" d=${slotShape(at, HALF_SIDE)}/>`)}
      <path class="warm"/>
      <circle class="bore" cx=${x} cy=${y} r=${bore}/>
      <circle class="rotor" cx=${x} cy=${y} r=${rotor}/>
      <g class="turning truth">
        <path class="north" d=${magnet(0, HALF_MAGNET)}/>
        <path class="south" d=${magnet(180, HALF_MAGNET)}/>
        <path class="psi" d=${arrowUp(60, 6)}/>
        <path class="cross-axis" d="M${x - 66} ${y}H${x + 66}M${x} ${y}V${y + 66}"/>
      </g>
      <g class="guess">
        <path class="ghost" d=${magnet(0, HALF_MAGNET)}/>
        <path class="arrow-e" d=${arrowUp(52, 6)}/>
      </g>
      <path class="lead-wedge truth"/>
      <g class="current"><path class="arrow"/></g>
      <circle class="hub" cx=${x} cy=${y} r="6"/>
      ${BADGES.map((name) => svg`<g class="badge ${name === 'E' ? 'guess-letter' : name === 'i' ? '' : 'truth'}"><circle r="11"/><text dy="6">${name}</text></g>`)}
      ${SIDES.map(({ phase, at }) => {
        const [lx, ly] = polar((bore + radius) / 2 - 3.5, at - 11);
        const [sx, sy] = polar((bore + radius) / 2 - 3.5, at + 13);
        return svg`
          <g transform="translate(${lx} ${ly})" class="letter"><circle r="9.5"/><text dy="5.5">${LETTERS[phase]}</text></g>
          <g transform="translate(${sx} ${sy})" class="flow"><circle r="7"/><path/></g>`;
      })}
    </g>
    <g class="all">
      ${SIDES.map(({ phase, at }) => {
        const d = around(pairs, (k) => slotShape((at + 360 * k) / pairs, HALF_SIDE / pairs));
        return svg`<path class="slot" d=${d}/><path class="coil-all p${phase}" d=${d}/>`;
      })}
      <circle class="bore" cx=${x} cy=${y} r=${bore}/>
      <circle class="rotor" cx=${x} cy=${y} r=${rotor}/>
      <g class="turning-all truth">
        <path class="north" d=${around(pairs, (k) => magnet((360 * k) / pairs, HALF_MAGNET / pairs))}/>
        <path class="south" d=${around(pairs, (k) => magnet((360 * k + 180) / pairs, HALF_MAGNET / pairs))}/>
      </g>
      <g class="guess-all"><path class="ghost" d=${around(pairs, (k) => magnet((360 * k) / pairs, HALF_MAGNET / pairs))}/></g>
      <g class="current-all"><path class="arrow" d=${around(pairs, (k) => pointer((360 * k) / pairs))}/></g>
      <circle class="hub" cx=${x} cy=${y} r="6"/>
      ${SIDES.map(({ phase, at }) => {
        const [lx, ly] = polar((bore + radius) / 2 - 3.5, at / pairs);
        return svg`<g transform="translate(${lx} ${ly})" class="letter"><circle r="9.5"/><text dy="5.5">${LETTERS[phase]}</text></g>`;
      })}
    </g>
  </g>
`;

/** A small arrow from the shaft toward the gap, for one pole pair. */
function pointer(at: number): string {
  const p = (r: number, a: number) =>
    polar(r, a)
      .map((v) => v.toFixed(1))
      .join(' ');
  return `M${p(26, at)}L${p(58, at)}M${p(47, at - 7)}L${p(60, at)}L${p(47, at + 7)}Z`;
}

/** Hatch for warmth: arcs along every coil side, as many as there are lines. */
export function warmArcs(lines: number): string {
  let d = '';
  for (let k = 0; k < lines; k++) {
    const r = bore + 7 + k * 3.4;
    for (const { at } of SIDES) {
      const [ax, ay] = polar(r, at - HALF_SIDE + 1);
      const [bx, by] = polar(r, at + HALF_SIDE - 1);
      d += `M${ax.toFixed(1)} ${ay.toFixed(1)}A${r.toFixed(1)} ${r.toFixed(1)} 0 0 1 ${bx.toFixed(1)} ${by.toFixed(1)}`;
    }
  }
  return d;
}
