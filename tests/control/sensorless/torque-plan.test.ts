/**
 * References of the current: what the winding then does at its terminals, and how they move.
 *
 * Source  weakening: loop of bandwidth k w Ld, -36 A for 1.5 mWb at 9200 rad/s on 18 V: derived, computed. Braking: with q current
 *         up to (R I^2 + P / 1.5) / (w lambda) the link is given P at most: derived; the plan spends half of the copper. Saliency
 *         of the inverse inductances below 10 k/H is too little to track: found by trial on a simplified model.
 */
import { describe, expect, it } from 'vitest';
import { type MotorFacts, motorFacts } from '../../../src/control/motor-facts.ts';
import { MotorMap } from '../../../src/control/sensorless/motor-map.ts';
import { TorquePlan } from '../../../src/control/sensorless/torque-plan.ts';
import { expectNear } from '../../support/near.ts';
import { ExactWinding } from './exact-winding.ts';
import { FULL_RAD_S, PLAIN, SATURATED, SETTINGS, TICK_S } from './motor-d.ts';

const LINK_V = 18;
const MARK_V = 22.5;
const MOST_V = (0.95 * LINK_V) / Math.sqrt(3);
const PER_NM = 1.5 * PLAIN.polePairs * PLAIN.lambda_Wb;

interface PlanCase {
  readonly facts?: MotorFacts;
  readonly torque_Nm: number;
  readonly w: number;
  readonly link_V?: number;
  readonly injecting?: boolean;
  /** Length of the voltage asked for; by default what the winding takes, without its field weakened. */
  readonly asked_V?: number;
  readonly ticks?: number;
}

/** A plan whose currents are there a tick later, settled. */
function planned({
  facts = PLAIN,
  torque_Nm,
  w,
  link_V = LINK_V,
  injecting = false,
  asked_V = 0,
  ticks = 2000,
}: PlanCase) {
  const plan = new TorquePlan(TICK_S, facts, SETTINGS);
  const map = new MotorMap(facts);
  for (let n = 0; n < ticks; n++) {
    map.solve(plan.id, plan.iq);
    plan.step(torque_Nm, w, map, injecting, asked_V, MOST_V, link_V, MARK_V);
  }
  return { plan, map };
}

/** Voltage that holds a current on a winding that turns, a microsecond at a time: as good as in the rotor frame [V]. */
function held(facts: MotorFacts, w: number, id_A: number, iq_A: number): [number, number] {
  return new ExactWinding(facts, w, 0, 1e-6).holding_V(id_A, iq_A);
}

describe('torque', () => {
  it('becomes q current by the magnet, up to the limit', () => {
    for (const torque_Nm of [-0.3, 0, 0.2, 0.5]) {
      expectNear(planned({ torque_Nm, w: 0 }).plan.iq, torque_Nm / PER_NM, { abs: 1e-9, because: 'rounding' });
    }
    expectNear(planned({ torque_Nm: 5, w: 0 }).plan.iq, 80, { abs: 1e-9, because: 'rounding' });
    expectNear(planned({ torque_Nm: -5, w: 0 }).plan.iq, -80, { abs: 1e-9, because: 'rounding' });
  });

  it('is made with the d current of maximum torque per ampere at speed, with none while injecting', () => {
    // Computed from the closed form for this motor: -15.5 A at 80 A, 2.1 % more torque.
    const settle = (injecting: boolean): TorquePlan => {
      const plan = new TorquePlan(TICK_S, PLAIN, { ...SETTINGS, mtpaShare: 1 });
      const map = new MotorMap(PLAIN);
      for (let n = 0; n < 2000; n++) {
        map.solve(plan.id, plan.iq);
        plan.step(5, 2000, map, injecting, MOST_V - 1, MOST_V, LINK_V, MARK_V);
      }
      return plan;
    };
    const { id, iq } = settle(false);
    expectNear(id, -15.5, { abs: 0.2, because: 'three digits of the closed form' });
    expectNear(Math.hypot(id, iq), 80, { abs: 1e-6, because: 'the limit is on the whole current' });
    const { lambda_Wb, ld_H, lq_H } = PLAIN;
    const gain = (iq * (lambda_Wb + (ld_H - lq_H) * id)) / (80 * lambda_Wb);
    expectNear(gain, 1.021, { abs: 0.001, because: 'two digits of the gain' });
    expect(settle(true).id).toBe(0);
  });

  it('of 80 A is 0.552 N m', () => {
    const plan = new TorquePlan(TICK_S, PLAIN, SETTINGS);
    const map = new MotorMap(PLAIN);
    for (let n = 0; n < 4; n++) map.solve(0, 80);
    expectNear(plan.torque_Nm(map, 0, 80), 0.552, { abs: 5e-4, because: 'three printed decimals' });
    expectNear(plan.most_Nm, 0.552, { abs: 5e-4, because: 'three printed decimals' });
  });

  it('leaves the length of both currents within the limit while the field is weakened', () => {
    const plan = new TorquePlan(TICK_S, PLAIN, SETTINGS);
    const map = new MotorMap(PLAIN);
    for (let n = 0; n < 600; n++) {
      plan.step(5, FULL_RAD_S, map, false, MOST_V + 2, MOST_V, LINK_V, MARK_V);
      // The d current moves by a tick's way after q has been fitted to the last one.
      expect(Math.hypot(plan.id, plan.iq)).toBeLessThan(80 + 0.81);
    }
  });
});

describe('weakening', () => {
  it('moves by 1000 A for each volt and second, within its bounds', () => {
    const at = (asked_V: number, ticks: number) => planned({ torque_Nm: 0, w: FULL_RAD_S, asked_V, ticks }).plan.id;
    expectNear(at(MOST_V + 0.5, 400), -1000 * 0.5 * 400 * TICK_S, { abs: 0.03, because: 'a tick of the integral' });
    const bound = (0.9 * PLAIN.lambda_Wb) / PLAIN.ld_H;
    expectNear(bound, 86, { abs: 0.3, because: 'two digits' });
    expectNear(at(MOST_V + 5, 4000), -Math.min(80, bound), {
      abs: 1e-9,
      because: 'the current limit comes first here',
    });
    const strong = { ...PLAIN, most_A: 120 };
    const deep = planned({ facts: strong, torque_Nm: 0, w: FULL_RAD_S, asked_V: MOST_V + 5, ticks: 4000 }).plan.id;
    expectNear(deep, -bound, { abs: 1e-9, because: 'rounding' });
    expect(at(0, 4000)).toBe(0);
  });

  it('comes back within 5 ms of its bound as soon as there is voltage', () => {
    const { plan, map } = planned({ torque_Nm: 0, w: FULL_RAD_S, asked_V: MOST_V + 5, ticks: 4000 });
    for (let n = 0; n < 400; n++) plan.step(0, FULL_RAD_S, map, false, 0, MOST_V, LINK_V, MARK_V);
    expect(plan.id).toBe(0);
  });

  /** Closed around a winding whose current follows at once: d currents by tick, and the last q current. */
  function closed(facts: MotorFacts, w: number, iq_A: number, ticks: number): { rows: number[]; iq: number } {
    const plan = new TorquePlan(TICK_S, facts, SETTINGS);
    const map = new MotorMap(facts);
    const out: number[] = [];
    const winding = new ExactWinding(facts, w, 0, 1e-6);
    // Linear in the currents: three trials give the voltage of all.
    const [d0, q0] = winding.holding_V(0, 0);
    const [dd, qd] = winding.holding_V(1, 0);
    const [dq, qq] = winding.holding_V(0, 1);
    for (let n = 0; n < ticks; n++) {
      map.solve(plan.id, plan.iq);
      const u = Math.hypot(
        d0 + (dd - d0) * plan.id + (dq - d0) * plan.iq,
        q0 + (qd - q0) * plan.id + (qq - q0) * plan.iq,
      );
      plan.step(iq_A * 1.5 * facts.polePairs * facts.lambda_Wb, w, map, false, u, MOST_V, LINK_V, MARK_V);
      out.push(plan.id);
    }
    return { rows: out, iq: plan.iq };
  }

  it('of a magnet of 1.5 mWb at 9200 rad/s settles at -36 A', () => {
    const { rows } = closed({ ...PLAIN, lambda_Wb: 1.5e-3 }, 9200, 0, 4000);
    expectNear(rows[3999], -36, { abs: 0.5, because: 'two digits' });
  });

  it('settles at the voltage limit under load, by the voltage equations of the winding', () => {
    const w = 9200;
    const facts = { ...PLAIN, lambda_Wb: 1.3e-3 };
    const { rows, iq } = closed(facts, w, 15, 6000);
    const id = rows[5999];
    // Torque is what is asked for: saliency needs a little less q current for it.
    expectNear(iq * (facts.lambda_Wb + (facts.ld_H - facts.lq_H) * id), 15 * facts.lambda_Wb, {
      abs: 1e-6 * facts.lambda_Wb * 15,
      because: 'settled',
    });
    const [ud, uq] = held(facts, w, id, iq);
    expectNear(Math.hypot(ud, uq), MOST_V, {
      abs: 1e-3,
      because: 'an integral leaves nothing; a microsecond of turning',
    });
  });

  it('has the bandwidth k w Ld', () => {
    const w = 9000;
    const { rows } = closed({ ...PLAIN, lambda_Wb: 1.2e-3 }, w, 0, 4000);
    const end = rows[3999];
    const n = Math.round(1 / (SETTINGS.weaken_A_Vs * w * PLAIN.ld_H) / TICK_S);
    expectNear(rows[n] / end, 1 - Math.exp(-1), {
      abs: 0.02,
      because: 'rounding of the time to a tick, first order in it: 0.5 %',
    });
  });
});

describe('braking', () => {
  /** Power that the terminals of the winding take from the link [W], by its own voltage equations. */
  function taken_W(facts: MotorFacts, w: number, id_A: number, iq_A: number): number {
    const [ud, uq] = held(facts, w, id_A, iq_A);
    return 1.5 * (ud * id_A + uq * iq_A);
  }

  it.each([FULL_RAD_S, 4000, 1500, -FULL_RAD_S])('at %f rad/s gives a link at its mark nothing', (w) => {
    const { plan } = planned({ torque_Nm: -0.5 * Math.sign(w), w, link_V: MARK_V });
    expect(plan.iq * w).toBeLessThan(0);
    expect(taken_W(PLAIN, w, plan.id, plan.iq)).toBeGreaterThan(0);
    // No more d current than leaves half of the magnet to see.
    expect(plan.id).toBeGreaterThanOrEqual((-0.5 * PLAIN.lambda_Wb) / PLAIN.ld_H - 1e-9);
  });

  it.each([18, 20, 21, 22])('gives a link of %f V no more than 60 W for each volt below its mark', (link_V) => {
    for (const w of [FULL_RAD_S, 5000, 2000]) {
      const { plan } = planned({ torque_Nm: -0.5, w, link_V });
      const given_W = -taken_W(PLAIN, w, plan.id, plan.iq);
      // The torque of saliency is not in the rule: (Lq - Ld) id of 0.14 mWb beside 1.15 at most.
      expect(given_W).toBeLessThan(60 * (MARK_V - link_V) * 1.13);
    }
  });

  it('takes from a link above its mark', () => {
    const { plan } = planned({ torque_Nm: -0.5, w: FULL_RAD_S, link_V: MARK_V + 2 });
    expect(taken_W(PLAIN, FULL_RAD_S, plan.id, plan.iq)).toBeGreaterThan(60 * 2);
  });

  it('is the formula of loss braking at full speed: 7.6 A for 90 A of copper heat', () => {
    // The full rule, of which the plan spends half on a smaller current: (R I^2) / (w lambda).
    expectNear((PLAIN.r_ohm * 90 ** 2) / (FULL_RAD_S * PLAIN.lambda_Wb), 7.6, { abs: 0.05, because: 'two digits' });
    const { plan } = planned({ torque_Nm: -0.5, w: FULL_RAD_S, link_V: MARK_V });
    const size2 = plan.id ** 2 + plan.iq ** 2;
    const rule = (PLAIN.r_ohm * size2) / (FULL_RAD_S * PLAIN.lambda_Wb);
    expectNear(-plan.iq / rule, 0.5, {
      abs: 0.01,
      because: 'half of the heat of the d current; q current adds 0.1 % to it',
    });
  });

  it('gives all of the torque where the EMF is less than the drop of the resistance', () => {
    const w = (0.99 * PLAIN.r_ohm * 80) / PLAIN.lambda_Wb;
    expectNear(planned({ torque_Nm: -5, w, link_V: MARK_V }).plan.iq, -80, { abs: 1e-9, because: 'rounding' });
  });

  it('leaves a motor that drives alone', () => {
    const { plan } = planned({ torque_Nm: 0.3, w: 4000, link_V: MARK_V });
    expectNear(plan.iq, 0.3 / PER_NM, { abs: 1e-9, because: 'rounding' });
    expect(plan.id).toBe(0);
  });
});

describe('help for the injection', () => {
  const full = 80 * PER_NM;
  const fifteen = motorFacts({ ...SATURATED, satQ3: 3.1e9 });
  const thirty = motorFacts({ ...SATURATED, satQ3: 8.6e9 });
  const LIMIT = 0.12 / PLAIN.ld_H;

  it('is not given where saliency holds out: Lq 5 % lower at 80 A, 12.6 k/H', () => {
    const { plan, map } = planned({ facts: SATURATED, torque_Nm: full, w: 0, injecting: true });
    expectNear(map.gdd - map.gqq, 12_600, { abs: 70, because: 'three digits' });
    expect(map.gdd - map.gqq).toBeGreaterThan(LIMIT);
    expect(plan.id).toBe(0);
  });

  it('is given where it does not, and only as much as brings it back: Lq 15 % lower at 80 A', () => {
    const { plan, map } = planned({ facts: fifteen, torque_Nm: full, w: 0, injecting: true });
    expect(plan.id).toBeGreaterThan(5);
    expect(plan.id).toBeLessThanOrEqual(25);
    // On and off about the limit: a tick of 0.8 A changes it by 0.4 k/H.
    expectNear(map.gdd - map.gqq, LIMIT, {
      abs: 500,
      because: 'it is switched a tick late, 0.8 A, about 0.47 k/H for each',
    });
  });

  it('is all of 25 A where that is not enough: Lq 30 % lower at 80 A', () => {
    const { plan, map } = planned({ facts: thirty, torque_Nm: full, w: 0, injecting: true });
    expectNear(plan.id, 25, { abs: 1e-9, because: 'rounding' });
    expect(map.gdd - map.gqq).toBeGreaterThan(0);
    expect(map.gdd - map.gqq).toBeLessThan(LIMIT);
  });

  it('is not given at little torque, nor without injection', () => {
    expect(planned({ facts: thirty, torque_Nm: 0.25 * full, w: 0, injecting: true }).plan.id).toBe(0);
    expect(planned({ facts: thirty, torque_Nm: full, w: 0, injecting: false }).plan.id).toBe(0);
  });

  it('comes and goes within 5 ms for 80 A', () => {
    const plan = new TorquePlan(TICK_S, thirty, SETTINGS);
    const map = new MotorMap(thirty);
    let last = 0;
    for (let n = 0; n < 400; n++) {
      map.solve(plan.id, plan.iq);
      plan.step(n < 200 ? full : 0, 0, map, true, 0, MOST_V, LINK_V, MARK_V);
      expect(Math.abs(plan.id - last)).toBeLessThanOrEqual((80 * TICK_S) / 5e-3 + 1e-9);
      last = plan.id;
    }
    expect(plan.id).toBe(0);
  });
});
