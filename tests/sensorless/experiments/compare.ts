/**
 * The sensorless controller and the Hall six-step on the same runs: same drill, seed, hand and motor speed.
 *
 * Ripple      standard deviation and peaks of the air-gap torque over windows of steady speed (src/runner/figures/ripple.ts).
 * Efficiency  work on the hand over energy out of the cells, both over the same second.
 * Low speed   3 % of full speed against a hand: mean speed, deviation of the rotor speed, share of the time in which the chuck stood.
 * Start       press to the first air-gap torque above friction and cogging (starts.ts).
 * Each figure is stated for both, with the winner; nothing is asked of either.
 */
import { hallSixStep } from '../../../src/control/six-step.ts';
import { TorqueRipple } from '../../../src/runner/figures/ripple.ts';
import { SIGNAL_INDEX as S, SIGNALS } from '../../../src/signals.ts';
import { type Conditions, fullSpeed_rad_s, Rig, travelFor } from '../rig.ts';
import type { Row } from '../rows.ts';

const KINDS = ['sensorless', 'hall-six-step'] as const;
type Kind = (typeof KINDS)[number];

interface Figure {
  readonly value: number;
  readonly unit: string;
  readonly better: 'lower' | 'higher';
}
type Figures = Record<string, Figure>;

function rigOf(kind: Kind, conditions: Conditions, seed: number): Rig {
  return new Rig({ ...conditions, seed, ...(kind === 'sensorless' ? {} : { controller: hallSixStep() }) });
}

/** Motor speed of each at full trigger [rad/s]. */
function full_rad_s(kind: Kind, conditions: Conditions): number {
  return fullSpeed_rad_s({ ...conditions, ...(kind === 'sensorless' ? {} : { controller: hallSixStep() }) });
}

/** A second at a motor speed against a hand. */
function steadily(kind: Kind, conditions: Conditions, speed_rad_s: number, hand_Nm: number, span_s: number): Figures {
  const rig = rigOf(kind, conditions, 101);
  const { plant } = rig;
  rig.pull(travelFor(speed_rad_s / full_rad_s(kind, conditions)));
  rig.run(0.3);
  plant.hands.set('grip', hand_Nm);
  rig.run(0.5);
  const ripple = new TorqueRipple();
  const sample = new Float64Array(SIGNALS.length);
  const from = { work: plant.read('work'), source: plant.read('source'), copper: plant.read('lossCopper') };
  let squares = 0;
  let n = 0;
  rig.run(span_s, () => {
    plant.observe(sample);
    sample[S.controllerState] = rig.drive.state;
    ripple.see(sample);
    squares += rig.current_A * rig.current_A;
    n++;
    return undefined;
  });
  const value = (id: string) => ripple.figures().find((figure) => figure.id === id)?.value ?? Number.NaN;
  const given = plant.read('source') - from.source;
  return {
    'torque ripple, deviation over mean': { value: 100 * value('torqueRipple'), unit: '%', better: 'lower' },
    'torque ripple, peak to peak': { value: 1e3 * value('torquePeakToPeak'), unit: 'mN·m', better: 'lower' },
    'efficiency, cells to hand': {
      value: (100 * (plant.read('work') - from.work)) / given,
      unit: '%',
      better: 'higher',
    },
    'phase current, rms': { value: Math.sqrt(squares / n / 2), unit: 'A', better: 'lower' },
    'heat in the winding': { value: (plant.read('lossCopper') - from.copper) / span_s, unit: 'W', better: 'lower' },
  };
}

/** Slowly against a hand. */
function slowly(kind: Kind, conditions: Conditions, speed_rad_s: number, hand_Nm: number, span_s: number): Figures {
  const rig = rigOf(kind, conditions, 102);
  rig.pull(travelFor(speed_rad_s / full_rad_s(kind, conditions)));
  rig.run(0.3);
  for (let j = 1; j <= 20; j++) {
    rig.plant.hands.set('grip', (hand_Nm * j) / 20);
    rig.run(0.01);
  }
  rig.run(0.3);
  let [sum, squares, stood, n] = [0, 0, 0, 0];
  rig.run(span_s, () => {
    const w = rig.plant.read('rotorSpeed');
    sum += w;
    squares += w * w;
    if (rig.plant.read('chuckSpeed') < 0.01) stood++;
    n++;
    return undefined;
  });
  const mean = sum / n;
  const off = Math.abs((100 * mean) / speed_rad_s - 100);
  return {
    'speed off from that asked for': { value: off, unit: '%', better: 'lower' },
    'deviation of the rotor speed': {
      value: Math.sqrt(Math.max(0, squares / n - mean * mean)),
      unit: 'rad/s',
      better: 'lower',
    },
    'share of the time in which the chuck stood': { value: (100 * stood) / n, unit: '%', better: 'lower' },
  };
}

/** Press to torque, over some rotor angles: the longest. */
function starting(kind: Kind, conditions: Conditions, angles: number): Figures {
  let longest = 0;
  for (let k = 0; k < angles; k++) {
    const controller = kind === 'sensorless' ? {} : { controller: hallSixStep() };
    const rig = new Rig({ ...conditions, ...controller, seed: 103 + k, angle_rad: (2 * Math.PI * k) / angles });
    rig.run(0.001);
    rig.pull(travelFor(0.3));
    let n = 0;
    let run = 0;
    rig.run(0.08, () => {
      n++;
      run = rig.tracks && rig.plant.read('airGap') > 0.02 ? run + 1 : 0;
      return run >= 20;
    });
    longest = Math.max(longest, (n - 19) * rig.plant.period_s);
  }
  return { 'press to torque, longest': { value: 1e3 * longest, unit: 'ms', better: 'lower' } };
}

/** Runs one by one for both: those whose title contains `only`. */
export function compareRows(conditions: Conditions, span_s = 1, angles = 12, only = ['']): Row[] {
  const runs: readonly [string, (kind: Kind) => Figures][] = [
    ['1070 rad/s, hand of 2 N·m', (kind) => steadily(kind, conditions, 1070, 2, span_s)],
    ['1070 rad/s, hand of 4 N·m', (kind) => steadily(kind, conditions, 1070, 4, span_s)],
    ['1900 rad/s, hand of 2 N·m', (kind) => steadily(kind, conditions, 1900, 2, span_s)],
    ['64 rad/s, hand of 1 N·m', (kind) => slowly(kind, conditions, 64, 1, span_s)],
    ['64 rad/s, hand of 3 N·m', (kind) => slowly(kind, conditions, 64, 3, span_s)],
    ['start without load', (kind) => starting(kind, conditions, angles)],
  ];
  const wanted = runs.filter(([title]) => only.some((text) => title.includes(text)));
  return wanted.flatMap(([title, run]) => {
    const [ours, theirs] = KINDS.map(run);
    return Object.entries(ours).flatMap(([what, figure]) => {
      const other = theirs[what];
      const sign = figure.better === 'lower' ? 1 : -1;
      // A figure that one of them does not have at all is won by the other.
      const lead = Number.isNaN(other.value)
        ? 1
        : Number.isNaN(figure.value)
          ? -1
          : sign * (other.value - figure.value);
      const winner = lead > 0 ? KINDS[0] : lead < 0 ? KINDS[1] : 'neither';
      const how = `${title}, high gear`;
      const note = `won by ${winner}`;
      return [
        { name: `${title}: ${what}, ${KINDS[0]}`, value: figure.value, unit: figure.unit, how, note },
        { name: `${title}: ${what}, ${KINDS[1]}`, value: other.value, unit: other.unit, how },
      ];
    });
  });
}
