/**
 * Winding and legs alone: the equations of src/plant for three driven legs at constant link voltage and speed, with the
 * passes that the plant makes. winding.c states the same ones; both print where they end, and must agree.
 */
import { legSources, legVoltages } from '../../src/plant/bridge.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { turnFrame } from '../../src/plant/shaft.ts';
import { SLOTS, slot } from '../../src/plant/slots.ts';
import { advanceFlux, endCurrent, meanCurrentAndTorque, startWinding, windingMap } from '../../src/plant/winding.ts';
import { WORK_LENGTH, work } from '../../src/plant/work.ts';
import type { Work } from './measure.ts';

export const WINDING_STEPS = 200_000;
const PASSES = 3;
const STEP_S = 1e-6;
const LINK_V = 18;
const ROTOR_RAD_S = 1000;
/** Steps of 50 in which each leg is high, centred in the period. */
const HIGH_STEPS = [30, 26, 20];

const ON = slot('onA');
const COS = slot('cos');
const SIN = slot('sin');
const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');
const I0_A = slot('iAlpha');
const I0_B = slot('iBeta');
const I_A = work('iAlpha');
const I_B = work('iBeta');
const I1_A = work('i1Alpha');
const I1_B = work('i1Beta');
const PSI1_A = work('psiAlpha');
const PSI1_B = work('psiBeta');
const COS1 = work('cos1');
const SIN1 = work('sin1');

export function windingWork(): Work & { end(): readonly [number, number, number, number] } {
  const x = new Float64Array(SLOTS.length);
  const w = new Float64Array(WORK_LENGTH);
  const map = windingMap(BENCH_18.winding);
  const { bridge } = BENCH_18;

  const begin = () => {
    x.fill(0);
    w.fill(0);
    x[COS] = 1;
    x[PSI_A] = map.magnet_Wb;
    x[slot('rotorSpeed')] = ROTOR_RAD_S;
    w[work('rotor1')] = ROTOR_RAD_S;
    w[work('dt')] = STEP_S;
    w[work('linkIdle')] = LINK_V; // a stiff link: linkOhm stays 0
  };
  const step = (inPeriod: number) => {
    for (let k = 0; k < 3; k++) x[ON + k] = Math.abs(2 * inPeriod - 49) < HIGH_STEPS[k] ? 1 : -1;
    startWinding(x, w, map);
    legSources(x, w, bridge);
    w[I_A] = x[I0_A];
    w[I_B] = x[I0_B];
    for (let pass = 1; ; pass++) {
      turnFrame(x, w, map.polePairs);
      legVoltages(w);
      advanceFlux(x, w, map);
      if (pass === PASSES) break;
      meanCurrentAndTorque(x, w, map);
    }
    endCurrent(w, map);
    x[PSI_A] = w[PSI1_A];
    x[PSI_B] = w[PSI1_B];
    x[I0_A] = w[I1_A];
    x[I0_B] = w[I1_B];
    const f = 1.5 - 0.5 * (w[COS1] * w[COS1] + w[SIN1] * w[SIN1]);
    x[COS] = w[COS1] * f;
    x[SIN] = w[SIN1] * f;
  };
  const run = () => {
    for (let k = 0, n = 0; k < WINDING_STEPS; k++) {
      step(n);
      n = n === 49 ? 0 : n + 1;
    }
  };
  return { steps: WINDING_STEPS, begin, run, end: () => [x[I0_A], x[I0_B], x[PSI_A], x[PSI_B]] };
}

/** Numbers that winding.c needs, as -D flags, so that the two cannot drift apart. */
export function windingDefines(): string[] {
  const m = windingMap(BENCH_18.winding);
  const { rds_ohm, shunt_ohm } = BENCH_18.bridge;
  const numbers = {
    STEPS: WINDING_STEPS,
    PASSES,
    STEP_S,
    LINK_V,
    ROTOR_RAD_S,
    HIGH_A: HIGH_STEPS[0],
    HIGH_B: HIGH_STEPS[1],
    HIGH_C: HIGH_STEPS[2],
    POLE_PAIRS: m.polePairs,
    R_OHM: m.r_ohm,
    MAGNET_WB: m.magnet_Wb,
    GD: m.gd,
    GQ: m.gq,
    SAT_D2: m.satD2,
    SAT_D3: m.satD3,
    SAT_CROSS: m.satCross,
    SAT_Q3: m.satQ3,
    RDS_OHM: rds_ohm,
    SHUNT_OHM: shunt_ohm,
  };
  return Object.entries(numbers).map(([name, value]) => `-D${name}=${value}`);
}
