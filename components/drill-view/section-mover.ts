/** Moves the motor section to one instant, by attributes of the nodes that `section` drew. */
import { polar, SECTION } from './geometry.ts';
import type { Instant } from './instant.ts';
import { between, heatLines } from './motion.ts';
import { SIDES, warmArcs } from './section.ts';

/** Current at which a coil side is fully tinted [A]. */
const FULL_A = 60;
const FAINTEST = 0.16;
/** Length of the current arrow: so much at once, and more per ampere, up to the magnets. */
const ARROW = { least: 14, per_A: 0.72, most: 60 } as const;
/** Below this there is no arrow: its direction would be noise [A]. */
const NO_CURRENT_A = 0.6;
const DEGREE = Math.PI / 180;
const { x, y, rotor } = SECTION;
/** Radius at which each badge rides; of i it follows the arrow. */
const RIDES = [rotor - 9, rotor - 9, 36, 0, rotor - 9] as const;
/** The letter E rides near the end of the dashed magnet, clear of N [degrees]. */
const BESIDE = 42;
const [NORTH, SOUTH, PSI, I, E] = [0, 1, 2, 3, 4];

export class SectionMover {
  private readonly turning: SVGElement;
  private readonly turningAll: SVGElement;
  private readonly guess: SVGElement;
  private readonly guessAll: SVGElement;
  private readonly coils: readonly SVGElement[];
  private readonly coilsAll: readonly SVGElement[];
  private readonly flows: readonly SVGElement[];
  private readonly current: SVGElement;
  private readonly currentAll: SVGElement;
  private readonly arrow: SVGElement;
  private readonly wedge: SVGElement;
  private readonly warm: SVGElement;
  private readonly badges: readonly SVGElement[];
  private readonly pairs: number;
  private readonly signs = ['', '', '', '', '', ''];
  private lines = 0;

  constructor(root: ParentNode, pairs: number) {
    const all = (selector: string) => [...root.querySelectorAll<SVGElement>(selector)];
    this.pairs = pairs;
    this.turning = all('.turning')[0];
    this.turningAll = all('.turning-all')[0];
    this.guess = all('.guess')[0];
    this.guessAll = all('.guess-all')[0];
    this.coils = all('.coil');
    this.coilsAll = all('.coil-all');
    this.flows = all('.flow path');
    this.current = all('.current')[0];
    this.currentAll = all('.current-all')[0];
    this.arrow = all('.current .arrow')[0];
    this.wedge = all('.lead-wedge')[0];
    this.warm = all('.warm')[0];
    this.badges = all('.badge');
  }

  /** Draws one instant. @param whole the whole motor instead of one pole pair; @param heat_K of the winding */
  move({ angle_rad, estimate_rad, a_A, b_A, c_A }: Instant, whole: boolean, heat_K: number): void {
    const angle = angle_rad / DEGREE;
    const alpha = (2 * a_A - b_A - c_A) / 3;
    const beta = (b_A - c_A) / Math.sqrt(3);
    const length_A = Math.hypot(alpha, beta);
    const toward = Math.atan2(beta, alpha) / DEGREE;
    const told = Number.isFinite(estimate_rad);
    const guess = told ? estimate_rad / DEGREE : 0;
    const drawn = whole ? this.coilsAll : this.coils;
    for (let k = 0; k < SIDES.length; k++) {
      const i_A = SIDES[k].phase === 0 ? a_A : SIDES[k].phase === 1 ? b_A : c_A;
      const share = Math.min(1, Math.abs(i_A) / FULL_A);
      drawn[k].setAttribute('opacity', (FAINTEST + (1 - FAINTEST) * share).toFixed(3));
      if (!whole) this.sign(k, mark(i_A * SIDES[k].sign));
    }
    if (whole) {
      // What repeats with every pole pair looks the same after one of them: the electrical angle is enough.
      turn(this.turningAll, angle / this.pairs);
      turn(this.currentAll, toward / this.pairs);
      turn(this.guessAll, guess / this.pairs);
      show(this.currentAll, length_A > NO_CURRENT_A);
      show(this.guessAll, told);
      return;
    }
    turn(this.turning, angle);
    turn(this.guess, guess);
    show(this.guess, told);
    this.drawCurrent(angle, toward, length_A);
    this.put(NORTH, RIDES[NORTH], angle);
    this.put(SOUTH, RIDES[SOUTH], angle + 180);
    this.put(PSI, RIDES[PSI], angle);
    show(this.badges[E], told);
    if (told) this.put(E, RIDES[E], guess + BESIDE);
    this.warmTo(heatLines(heat_K));
  }

  private drawCurrent(angle: number, toward: number, length_A: number): void {
    const visible = length_A > NO_CURRENT_A;
    const reach = Math.min(ARROW.most, ARROW.least + ARROW.per_A * length_A);
    show(this.current, visible);
    show(this.badges[I], visible);
    turn(this.current, toward);
    this.arrow.setAttribute('d', doubleArrow(reach));
    this.wedge.setAttribute('d', visible ? wedge(angle, toward, 26) : '');
    this.put(I, Math.max(30, reach + 13), toward);
  }

  private sign(k: number, d: string): void {
    if (this.signs[k] === d) return;
    this.signs[k] = d;
    this.flows[k].setAttribute('d', d);
  }

  private warmTo(lines: number): void {
    if (lines === this.lines) return;
    this.lines = lines;
    this.warm.setAttribute('d', warmArcs(lines));
  }

  private put(k: number, radius: number, at_deg: number): void {
    const [px, py] = polar(radius, at_deg);
    this.badges[k].setAttribute('transform', `translate(${px.toFixed(1)} ${py.toFixed(1)})`);
  }
}

function turn(node: SVGElement, deg: number): void {
  node.setAttribute('transform', `rotate(${deg.toFixed(2)} ${x} ${y})`);
}

function show(node: SVGElement, on: boolean): void {
  const display = on ? '' : 'none';
  if (node.style.display !== display) node.style.display = display;
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
  const lead = between(from_deg * DEGREE, to_deg * DEGREE) / DEGREE;
  const [ax, ay] = polar(r, from_deg);
  const [bx, by] = polar(r, from_deg + lead);
  return `M${x} ${y}L${ax.toFixed(1)} ${ay.toFixed(1)}A${r} ${r} 0 0 ${lead > 0 ? 1 : 0} ${bx.toFixed(1)} ${by.toFixed(1)}Z`;
}
