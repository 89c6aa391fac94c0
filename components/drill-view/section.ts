/**
 * The motor seen along its axis from behind, one of its pole pairs drawn in electrical degrees: 0 at the axis of phase A,
 * upward, turning clockwise when the screw goes in.
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

/** Current at which a coil side is fully tinted [A]. */
const FULL_A = 32;
const FAINTEST = 0.13;
/** Length of the current arrow: so much at once, and more per ampere, up to the magnets. */
const ARROW = { least: 16, per_A: 0.72, most: 62 } as const;
/** Below this there is no arrow: its direction would be noise [A]. */
const NO_CURRENT_A = 0.6;

const { x, y, radius, bore, rotor } = SECTION;

export const section = svg`
  <g class="section">
    <circle class="steel-flat" cx=${x} cy=${y} r=${radius}/>
    <circle class="thin" cx=${x} cy=${y} r=${radius - 7}/>
    ${SIDES.map(({ phase, at }) => svg`<path class="slot" d=${segment(bore + 3, radius - 10, at - 26, at + 26)}/><path class="coil p${phase}" d=${segment(bore + 3, radius - 10, at - 26, at + 26)}/>`)}
    <circle class="bore" cx=${x} cy=${y} r=${bore}/>
    <g class="turning">
      <circle class="rotor" cx=${x} cy=${y} r=${rotor}/>
      <path class="north" d=${segment(rotor - 17, rotor - 1, -56, 56)}/>
      <path class="south" d=${segment(rotor - 17, rotor - 1, 124, 236)}/>
      <path class="psi" d="M${x} ${y}V${y - 58}M${x - 6} ${y - 47}L${x} ${y - 60}L${x + 6} ${y - 47}"/>
      <path class="cross-axis" d="M${x - 66} ${y}H${x + 66}M${x} ${y}V${y + 66}"/>
    </g>
    <path class="lead-wedge"/>
    <g class="current"><path class="arrow"/></g>
    <circle class="hub" cx=${x} cy=${y} r="6"/>
    <g class="badges">
      ${['N', 'S', 'ψ', 'i'].map((name) => svg`<g class="badge ${name === 'N' ? 'dark' : ''}"><circle r="11"/><text dy="6">${name}</text></g>`)}
    </g>
    ${SIDES.map(({ phase, at }) => {
      const [lx, ly] = polar((bore + radius) / 2 - 3.5, at - 11);
      const [sx, sy] = polar((bore + radius) / 2 - 3.5, at + 13);
      return svg`
        <g transform="translate(${lx} ${ly})" class="letter"><circle r="9.5"/><text dy="5.5">${LETTERS[phase]}</text></g>
        <g transform="translate(${sx} ${sy})" class="flow"><circle r="7"/><path/></g>`;
    })}
  </g>
`;

interface Badge {
  readonly node: SVGElement;
  readonly radius: number;
}

export class SectionMover {
  private readonly turning: SVGElement;
  private readonly coils: readonly SVGElement[];
  private readonly flows: readonly SVGElement[];
  private readonly current: SVGElement;
  private readonly arrow: SVGElement;
  private readonly wedge: SVGElement;
  private readonly badges: readonly Badge[];

  constructor(root: ParentNode) {
    const all = (selector: string) => [...root.querySelectorAll<SVGElement>(selector)];
    this.turning = all('.turning')[0];
    this.coils = all('.coil');
    this.flows = all('.flow path');
    this.current = all('.current')[0];
    this.arrow = all('.arrow')[0];
    this.wedge = all('.lead-wedge')[0];
    const radii = [rotor - 9, rotor - 9, 36, 0];
    this.badges = all('.badge').map((node, k) => ({ node, radius: radii[k] }));
  }

  /** Draws one instant: rotor angle [rad] and the three phase currents [A]. */
  move(angle_rad: number, a_A: number, b_A: number, c_A: number): void {
    const angle = (angle_rad * 180) / Math.PI;
    const currents = [a_A, b_A, c_A];
    this.turning.setAttribute('transform', `rotate(${angle.toFixed(2)} ${x} ${y})`);
    for (const [k, { phase, sign }] of SIDES.entries()) {
      const i_A = currents[phase];
      const share = Math.min(1, Math.abs(i_A) / FULL_A);
      this.coils[k].setAttribute('opacity', (FAINTEST + (1 - FAINTEST) * share).toFixed(3));
      this.flows[k].setAttribute('d', mark(i_A * sign));
    }
    const alpha = (2 * a_A - b_A - c_A) / 3;
    const beta = (b_A - c_A) / Math.sqrt(3);
    const length_A = Math.hypot(alpha, beta);
    const visible = length_A > NO_CURRENT_A;
    const toward = (Math.atan2(beta, alpha) * 180) / Math.PI;
    const reach = Math.min(ARROW.most, ARROW.least + ARROW.per_A * length_A);
    this.current.style.display = visible ? '' : 'none';
    this.current.setAttribute('transform', `rotate(${toward.toFixed(2)} ${x} ${y})`);
    this.arrow.setAttribute('d', doubleArrow(reach));
    this.wedge.setAttribute('d', visible ? wedge(angle, toward, 26) : '');
    this.place(0, angle);
    this.place(1, angle + 180);
    this.place(2, angle);
    this.badges[3].node.style.display = visible ? '' : 'none';
    this.put(3, Math.max(30, reach + 13), toward);
  }

  private place(k: number, at_deg: number): void {
    this.put(k, this.badges[k].radius, at_deg);
  }

  private put(k: number, radius: number, at_deg: number): void {
    const [px, py] = polar(radius, at_deg);
    this.badges[k].node.setAttribute('transform', `translate(${px.toFixed(1)} ${py.toFixed(1)})`);
  }
}

/** Cross for away from you, dot for toward you, nothing for no current. */
function mark(away_A: number): string {
  if (away_A > NO_CURRENT_A) return 'M-4-4L4 4M4-4L-4 4';
  if (away_A < -NO_CURRENT_A) return 'M-.01 0H.01';
  return '';
}

function doubleArrow(reach: number): string {
  const tip = y - reach;
  return `M${x - 2.4} ${y}V${tip + 9}M${x + 2.4} ${y}V${tip + 9}M${x - 8} ${tip + 11}L${x} ${tip}L${x + 8} ${tip + 11}Z`;
}

/** Faint fill between rotor flux and current: how far the current leads. */
function wedge(from_deg: number, to_deg: number, r: number): string {
  const lead = ((((to_deg - from_deg) % 360) + 540) % 360) - 180;
  const [ax, ay] = polar(r, from_deg);
  const [bx, by] = polar(r, from_deg + lead);
  return `M${x} ${y}L${ax.toFixed(1)} ${ay.toFixed(1)}A${r} ${r} 0 0 ${lead > 0 ? 1 : 0} ${bx.toFixed(1)} ${by.toFixed(1)}Z`;
}
