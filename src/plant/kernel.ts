/**
 * The fast part of the plant: equal steps of at most 1 us through a stretch of time in which no switch changes.
 *
 * Model   phases as sources behind resistances (legs.ts); pack leads, link capacitance and logic supply; winding with
 *         flux as its state; rotor, gearbox with play and clutch, chuck under a load with bounds, tool body.
 *         Everything slower than a PWM period (cells, heat, magnets, friction, bounds of the load) stands in the scratch.
 * Scheme  of order 2, one after the other in each step:
 *         1 frame turned with the present speed, cogging;
 *         2 link and phases as a linear circuit, trapezoidal rule, with a first guess of the mean current (its last slope); flux
 *           at the end, then mean current and torque as the discrete gradient of the field energy along the line between
 *           both fluxes (winding.ts); blocked phases held by a multiplier. Twice where shorted turns (shorted.ts) or much
 *           resistance on little inductance make the guess poor;
 *         3 gearbox, load, friction as bounded multipliers, speeds at the end;
 *         4 link, phases and flux once more with the mean current of 2; the frame corrected by the new speed.
 *         A guess that is off by e leaves e dt R / 2 L, below 1e-3 e; the audit sees what is left.
 * Shape   one function, because every number that crosses a call which the engine does not inline goes through memory:
 *         in the form of small functions the same equations took three times as long (DEVELOPERS.md).
 * Source  as in winding.ts, transmission.ts, supply.ts; Acary, Brogliato: Numerical Methods for Nonsmooth Dynamical
 *         Systems, Springer 2008 (from memory).
 */
import { AXIS_ALPHA, AXIS_BETA } from './axes.ts';
import { W, X } from './columns.ts';
import type { KernelMap } from './kernel-map.ts';

/** Tasks: run the steps that are left (at most `most`), solve one step of w.part without taking it, or take it unchecked. */
export const RUN = 0;
export const PROBE = 1;
export const TAKE = 2;
/** Why the kernel came back. */
export const DONE = 0;
export const DIODE_EMPTY = 1;
export const POLE_FREE = 2;
export const AVALANCHE_TURNS = 3;

const THIRD = 0.3333333333333333;
const ROOT_3_HALF = 0.8660254037844386;
const PER_ROOT_3 = 0.5773502691896258;
/** Half distance of the two Gauss points on the unit line, 1/(2 sqrt 3), from both ends. */
const NEAR = 0.21132486540518713;
const FAR = 0.7886751345948129;
/** Torque of a stop that does not give: beyond anything a gearbox passes [N·m]. */
const RIGID_NM = 1e6;

/** Runs one task; leaves the state at the last step that was taken. `most` bounds the steps of RUN. */
export function integrate(x: Float64Array, w: Float64Array, k: KernelMap, task: number, most: number): number {
  const dt = task === RUN ? x[X.length] : w[W.part];
  const half = 0.5 * dt;
  const perDt = 1 / dt;
  let steps = task !== RUN ? 1 : Math.min(x[X.left], most);
  let done = 0;

  // supply
  const emf = w[W.emf];
  const lead = w[W.lead];
  const slope = w[W.slope];
  const load = w[W.load];
  const gAvalanche = w[W.avalanche];
  const avalanche = gAvalanche * k.avalanche_V;
  const drop = w[W.drop];
  const linkOhm = w[W.linkOhm];
  const idleFix = w[W.idleFix];
  const idleLead = w[W.idleLead];
  const perC = w[W.perC];

  // phases
  const blocked = w[W.blocked] | 0;
  const railA = w[W.rail];
  const railB = w[W.rail + 1];
  const railC = w[W.rail + 2];
  const legA = w[W.leg];
  const legB = w[W.leg + 1];
  const legC = w[W.leg + 2];
  const signA = w[W.sign];
  const signB = w[W.sign + 1];
  const signC = w[W.sign + 2];
  const offA = w[W.offset];
  const offB = w[W.offset + 1];
  const offC = w[W.offset + 2];
  const axisA = blocked >= 0 && blocked < 3 ? AXIS_ALPHA[blocked] : 0;
  const axisB = blocked >= 0 && blocked < 3 ? AXIS_BETA[blocked] : 0;
  const multiA = blocked === 0 ? 1 : 0;
  const multiB = blocked === 1 ? 1 : 0;
  const multiC = blocked === 2 ? 1 : 0;

  // winding
  const ohm = w[W.windingOhm];
  const { gd, gq, satD2: ad, satD3: bd, satCross: cc, satQ3: cq, polePairs: pp } = k;
  const magnet = x[X.magnet];
  const hd = magnet * k.harmonicD;
  const hq = magnet * k.harmonicQ;
  // Shorted turns (shorted.ts): their share, the loop's drive and decay, and what its current is worth in alpha.
  const turns = w[W.turns];
  const perLoop = w[W.perLoop];
  const keepLoop = w[W.keepLoop];
  const flow = 2 * THIRD * turns;
  const loopGain = flow * perLoop * turns;

  // mechanics
  const perRatio = w[W.perRatio];
  const meshForth = w[W.meshForth] * perRatio;
  const meshBack = w[W.meshBack] * perRatio;
  const play = w[W.play];
  const slipLimit = w[W.slipLimit];
  const bound = w[W.bound];
  const halfDrag = 0.5 * w[W.drag];
  const hand = w[W.hand];
  const { stiffness_Nm_rad: stiff, damping_Nms: damp, chuckFriction_Nm: bearing } = k;
  const je = w[W.inertia];
  const perRotor = w[W.perRotor];
  const jc = w[W.chuck];
  const perChuck = 1 / jc;
  const bodyBack = w[W.bodyBack];
  const bodyPush = w[W.bodyPush];
  const toBody = w[W.toBody];
  const lowSlope = w[W.loadLowSlope];
  const highSlope = w[W.loadHighSlope];
  const loadFrom = w[W.loadFrom];
  const lowAt = w[W.loadLow];
  const highAt = w[W.loadHigh];
  const wall = w[W.wall];

  // state
  let psiA = x[X.psiA];
  let psiB = x[X.psiB];
  let i0A = x[X.iA];
  let i0B = x[X.iB];
  let slopeA = x[X.slopeA];
  let slopeB = x[X.slopeB];
  let c0 = x[X.cos];
  let s0 = x[X.sin];
  let qc0 = x[X.slotCos];
  let qs0 = x[X.slotSin];
  let angle = x[X.angle];
  let wr = x[X.rotor];
  let twist = x[X.twist];
  let twistRate = x[X.twistRate];
  let slip = x[X.slip];
  let chuckAngle = x[X.chuckAngle];
  let wc = x[X.chuck];
  let bodyAngle = x[X.bodyAngle];
  let wb = x[X.body];
  let vc = x[X.capacitor];
  let ip = x[X.pack];
  let floatPole = x[X.floatPole];

  let loop = x[X.loop];
  let x0 = x[X.fluxD];
  let q0 = x[X.fluxQ];

  // sums of this stretch
  let charge = w[W.sums];
  let packHeat = w[W.sums + 1];
  let linkHeat = w[W.sums + 2];
  let link2 = w[W.sums + 3];
  let avalancheHeat = w[W.sums + 4];
  let heatA = w[W.sums + 5];
  let heatB = w[W.sums + 6];
  let heatC = w[W.sums + 7];
  let squareA = w[W.sums + 8];
  let squareB = w[W.sums + 9];
  let squareC = w[W.sums + 10];
  let ringHeat = w[W.sums + 11];
  let hold1 = w[W.sums + 12];
  let mesh1 = w[W.sums + 13];
  let drag1 = w[W.sums + 14];
  let gear1 = w[W.sums + 15];
  let clutch1 = w[W.sums + 16];
  let chuck1 = w[W.sums + 17];
  let work1 = w[W.sums + 18];
  let poleSumA = w[W.sums + 19];
  let poleSumB = w[W.sums + 20];
  let poleSumC = w[W.sums + 21];
  let link = x[X.link];
  let airGap = x[X.airGap];
  let passed = x[X.gearTorque];
  let taken = x[X.loadTorque];
  let code = DONE;

  while (steps > 0) {
    // 1 frame at the present speed, cogging
    const turn = half * pp * wr;
    const q = turn * turn;
    const sinc = 1 - q * (1 / 6 - q * (1 / 120 - q * (1 / 5040)));
    const ch = 1 - q * (0.5 - q * (1 / 24 - q * (1 / 720)));
    const sh = turn * sinc;
    const cm = c0 * ch - s0 * sh;
    const sm = s0 * ch + c0 * sh;
    let c1 = cm * ch - sm * sh;
    let s1 = sm * ch + cm * sh;
    const c2 = 2 * cm * cm - 1;
    const s2 = 2 * sm * cm;
    const c3 = c2 * cm - s2 * sm;
    const s3 = s2 * cm + c2 * sm;
    const c6 = 2 * c3 * c3 - 1;
    const s6 = 2 * s3 * c3;
    const sinc6 = 1 - q * (6 - q * 10.8);
    // Sixth harmonic at the end, turned on by another half step.
    const ch6 = 1 - q * (18 - q * 54);
    const sh6 = 6 * turn * sinc6;
    let e6 = c6 * ch6 - s6 * sh6;
    let f6 = s6 * ch6 + c6 * sh6;
    const quarter = half * k.slots * wr;
    const qq = quarter * quarter;
    const sincSlot = 1 - qq * (1 / 6 - qq * (1 / 120));
    const chSlot = 1 - qq * (0.5 - qq * (1 / 24 - qq * (1 / 720)));
    const shSlot = quarter * (1 - qq * (1 / 6 - qq * (1 / 120 - qq * (1 / 5040))));
    const qcm = qc0 * chSlot - qs0 * shSlot;
    const qsm = qs0 * chSlot + qc0 * shSlot;
    let sn = s6;
    let cn = c6;
    for (let n = 1; n < k.bothOver6; n++) {
      const t = sn * c6 + cn * s6;
      cn = cn * c6 - sn * s6;
      sn = t;
    }
    const cogging =
      -k.cogPoles_Nm * s2 * (1 - q * (2 / 3 - q * (2 / 15))) -
      k.cogSlots_Nm * qsm * sincSlot -
      k.cogBoth_Nm * sn * (1 - q * k.both2);
    // 2 circuit with the guessed mean current, flux, mean current of the field, torque; once more for shorted turns
    const idle = drop * vc + idleFix + idleLead * ip;
    let tA = blocked === 3 ? 0 : i0A + half * slopeA;
    let tB = blocked === 3 ? 0 : i0B + half * slopeB;
    let iA = tA - flow * loop;
    let iB = tB;
    let endA = psiA;
    let endB = psiB;
    let xs = 0;
    let qs = 0;
    let again = w[W.again];
    airGap = 0;
    do {
      const b1 = ROOT_3_HALF * tB;
      const ib1 = b1 - 0.5 * tA;
      const ic1 = -b1 - 0.5 * tA;
      const link1 = idle - linkOhm * (railA * tA + railB * ib1 + railC * ic1);
      const va1 = railA * link1 + offA + multiA * floatPole - legA * tA;
      const vb1 = railB * link1 + offB + multiB * floatPole - legB * ib1;
      const vc1 = railC * link1 + offC + multiC * floatPole - legC * ic1;
      endA = psiA + dt * (THIRD * (2 * va1 - vb1 - vc1) - ohm * iA);
      endB = psiB + dt * (PER_ROOT_3 * (vb1 - vc1) - ohm * iB);

      if (blocked !== 3 || turns > 0) {
        let x1 = c1 * endA + s1 * endB - magnet - hd * e6;
        let q1 = c1 * endB - s1 * endA - hq * f6;
        if (blocked === 3) {
          // No current at the terminals: the field answers the loop alone. Newton in the rotor frame.
          x1 = x0;
          q1 = q0;
          for (let n = 0; n < 3; n++) {
            endA = c1 * (magnet + hd * e6 + x1) - s1 * (hq * f6 + q1);
            const shorted = flow * perLoop * (keepLoop * loop + turns * (endA - psiA + ohm * dt * iA));
            const gdd = gd + x1 * (2 * ad + 3 * bd * x1) + c1 * c1 * loopGain;
            const gqq = gq + 3 * cq * q1 * q1 + 2 * cc * x1 + s1 * s1 * loopGain;
            const gdq = 2 * cc * q1 - c1 * s1 * loopGain;
            const wantD = c1 * shorted + x1 * (gd + x1 * (ad + bd * x1)) + cc * q1 * q1;
            const wantQ = q1 * (gq + cq * q1 * q1 + 2 * cc * x1) - s1 * shorted;
            const per = 1 / (gdd * gqq - gdq * gdq);
            x1 -= per * (gqq * wantD - gdq * wantQ);
            q1 -= per * (gdd * wantQ - gdq * wantD);
          }
          endA = c1 * (magnet + hd * e6 + x1) - s1 * (hq * f6 + q1);
          endB = s1 * (magnet + hd * e6 + x1) + c1 * (hq * f6 + q1);
          xs = x1;
          qs = q1;
        } else if (blocked >= 0) {
          const ud = c1 * axisA + s1 * axisB;
          const uq = c1 * axisB - s1 * axisA;
          const gdd = gd + x1 * (2 * ad + 3 * bd * x1);
          const gqq = gq + 3 * cq * q1 * q1 + 2 * cc * x1;
          const gdq = 2 * cc * q1;
          const shorted = perLoop * (keepLoop * loop + turns * (endA - psiA + ohm * dt * iA));
          const i =
            ud * (x1 * (gd + x1 * (ad + bd * x1)) + cc * q1 * q1) +
            uq * q1 * (gq + cq * q1 * q1 + 2 * cc * x1) +
            axisA * flow * shorted;
          const far = -i / (ud * ud * gdd + uq * uq * gqq + 2 * ud * uq * gdq + axisA * axisA * loopGain);
          endA += far * axisA;
          endB += far * axisB;
          x1 += far * ud;
          q1 += far * uq;
          floatPole += 1.5 * far * perDt;
        }
        const dx = x1 - x0;
        const dq = q1 - q0;
        const xg = x0 + NEAR * dx;
        const xf = x0 + FAR * dx;
        const qg = q0 + NEAR * dq;
        const qf = q0 + FAR * dq;
        const id = 0.5 * (xg * (gd + xg * (ad + bd * xg)) + xf * (gd + xf * (ad + bd * xf)) + cc * (qg * qg + qf * qf));
        const iq = 0.5 * (qg * (gq + cq * qg * qg + 2 * cc * xg) + qf * (gq + cq * qf * qf + 2 * cc * xf));
        const ma = cm * id - sm * iq;
        const mb = sm * id + cm * iq;
        iA = ch * ma;
        iB = ch * mb;
        airGap =
          1.5 *
          pp *
          (sinc * 0.5 * (mb * (psiA + endA) - ma * (psiB + endB)) + 6 * sinc6 * (hq * c6 * iq - hd * s6 * id));
      }
      tA =
        blocked === 3
          ? 0
          : iA + 0.5 * flow * (loop + perLoop * (keepLoop * loop + turns * (endA - psiA + ohm * dt * iA)));
      tB = blocked === 3 ? 0 : iB;
      again--;
    } while (again >= 0);

    // 3 gearbox, chuck, rotor, body
    const rate0 = wr * perRatio - wc + wb;
    const rate = rate0 + half * twistRate;
    const turned = dt * rate;
    const to0 = twist + turned;
    const from = twist > play ? twist - play : twist < -play ? twist + play : 0;
    let to = to0 > play ? to0 - play : to0 < -play ? to0 + play : 0;
    let slipped = 0;
    if (to > slipLimit) slipped = to - slipLimit;
    else if (to < -slipLimit) slipped = to + slipLimit;
    to -= slipped;
    // (U1 - U0 + T slip) / turned with U = k c^2 / 2; inside one contact the quotient is the mean spring torque.
    let spring = 0.5 * stiff * (from + to);
    if (slipped !== 0) spring = turned !== 0 ? (spring * (to - from) + stiff * to * slipped) / turned : stiff * to;
    else if ((from === 0) !== (to === 0) || from * to < 0) spring *= (to - from) / turned;
    const limit = spring < 0 ? -spring : spring;
    let damper = damp * rate;
    // Teeth only push, and the clutch passes no more than it holds.
    const more = Math.min(limit, Math.max(0, stiff * slipLimit - limit));
    if (slipped !== 0) damper = 0;
    else if (spring > 0) damper = Math.max(-limit, Math.min(damper, more));
    else damper = Math.max(-more, Math.min(damper, limit));
    passed = spring + damper;

    const at = chuckAngle - loadFrom + half * wc;
    let low = lowAt + lowSlope * at;
    let high = highAt + highSlope * at;
    if (low > 0) low = 0;
    if (high < 0) high = 0;
    if (chuckAngle >= wall) low = -RIGID_NM;
    // Load against the work, bearing against the body: two dry frictions on one speed, solved by their order.
    const pushC = wc * jc + passed;
    let wc1 = (pushC + low - bearing) * perChuck;
    taken = low;
    let rub = -bearing;
    if (!(wc1 > 0 && wc1 > wb)) {
      wc1 = (pushC + high + bearing) * perChuck;
      taken = high;
      rub = bearing;
      if (!(wc1 < 0 && wc1 < wb)) {
        if (wb > 0) {
          taken = low;
          wc1 = (pushC + low + bearing) * perChuck;
          if (wc1 <= 0) {
            wc1 = 0;
            taken = -pushC - bearing;
          } else if (wc1 >= wb) {
            wc1 = wb;
            rub = jc * wb - pushC - low;
          }
        } else {
          rub = -bearing;
          wc1 = (pushC + high - bearing) * perChuck;
          if (wc1 >= 0) {
            wc1 = 0;
            taken = -pushC + bearing;
          } else if (wc1 <= wb) {
            wc1 = wb;
            rub = jc * wb - pushC - high;
          }
        }
      }
    }

    const through = passed < 0 ? -passed : passed;
    const meshUp = through * (passed < 0 ? meshBack : meshForth);
    const meshDown = through * (passed < 0 ? meshForth : meshBack);
    const outward = passed + rub - hand;
    const push = wr * (je - halfDrag) + airGap + cogging - passed * perRatio + toBody * outward;
    const boundUp = bound + meshUp;
    const boundDown = bound + meshDown;
    let hold = -push;
    let mesh = 0;
    if (push > boundUp) {
      hold = -boundUp;
      mesh = -meshUp;
    } else if (push < -boundDown) {
      hold = boundDown;
      mesh = meshDown;
    }
    const wr1 = (push + hold) * perRotor;
    const wb1 = wb - bodyBack * (wr1 - wr) - bodyPush * outward;

    // 4 circuit with the mean current, frame with the new speed
    const out = half * pp * (wr1 - wr);
    const ct = c1 - out * s1;
    s1 += out * c1;
    c1 = ct;
    const et = e6 - 6 * out * f6;
    f6 += 6 * out * e6;
    e6 = et;
    const b = ROOT_3_HALF * tB;
    const tb = b - 0.5 * tA;
    const tc = -b - 0.5 * tA;
    const ln = idle - linkOhm * (railA * tA + railB * tb + railC * tc);
    let va = railA * ln + offA + multiA * floatPole - legA * tA;
    let vb = railB * ln + offB + multiB * floatPole - legB * tb;
    let vz = railC * ln + offC + multiC * floatPole - legC * tc;
    const eA = THIRD * (2 * va - vb - vz) - ohm * iA;
    endA = psiA + dt * eA;
    endB = psiB + dt * (PER_ROOT_3 * (vb - vz) - ohm * iB);
    let x1 = 0;
    let q1 = 0;
    if (blocked < 0) {
      x1 = c1 * endA + s1 * endB - magnet - hd * e6;
      q1 = c1 * endB - s1 * endA - hq * f6;
    } else if (blocked < 3) {
      x1 = c1 * endA + s1 * endB - magnet - hd * e6;
      q1 = c1 * endB - s1 * endA - hq * f6;
      const ud = c1 * axisA + s1 * axisB;
      const uq = c1 * axisB - s1 * axisA;
      const gdd = gd + x1 * (2 * ad + 3 * bd * x1);
      const gqq = gq + 3 * cq * q1 * q1 + 2 * cc * x1;
      const gdq = 2 * cc * q1;
      const shorted = perLoop * (keepLoop * loop + turns * (endA - psiA + ohm * dt * iA));
      const i =
        ud * (x1 * (gd + x1 * (ad + bd * x1)) + cc * q1 * q1) +
        uq * q1 * (gq + cq * q1 * q1 + 2 * cc * x1) +
        axisA * flow * shorted;
      const far = -i / (ud * ud * gdd + uq * uq * gqq + 2 * ud * uq * gdq + axisA * axisA * loopGain);
      endA += far * axisA;
      endB += far * axisB;
      x1 += far * ud;
      q1 += far * uq;
      const raise = 1.5 * far * perDt;
      floatPole += raise;
      va += multiA * raise;
      vb += multiB * raise;
      vz += multiC * raise;
    } else {
      // No current: the flux is the magnet's own, and the loop's; the star point hangs on what conducts, or floats midway.
      x1 = xs;
      q1 = qs;
      const md = magnet + hd * e6 + x1;
      const mq = hq * f6 + q1;
      endA = c1 * md - s1 * mq;
      endB = s1 * md + c1 * mq;
      const ea = (endA - psiA) * perDt + ohm * iA;
      const r = ROOT_3_HALF * ((endB - psiB) * perDt + ohm * iB);
      const eb = r - 0.5 * ea;
      const ec = -r - 0.5 * ea;
      let least = Math.min(ea, eb);
      let largest = Math.max(ea, eb);
      if (ec < least) least = ec;
      if (ec > largest) largest = ec;
      let star = 0.5 * (ln - least - largest);
      if (legA > 0) star = railA * ln - ea;
      else if (legB > 0) star = railB * ln - eb;
      else if (legC > 0) star = railC * ln - ec;
      va = star + ea;
      vb = star + eb;
      vz = star + ec;
    }
    const id1 = x1 * (gd + x1 * (ad + bd * x1)) + cc * q1 * q1;
    const iq1 = q1 * (gq + cq * q1 * q1 + 2 * cc * x1);
    const loopEnd = perLoop * (keepLoop * loop + turns * (endA - psiA + ohm * dt * iA));
    const i1A = blocked === 3 ? 0 : c1 * id1 - s1 * iq1 + flow * loopEnd;
    const i1B = blocked === 3 ? 0 : s1 * id1 + c1 * iq1;

    if (task !== TAKE) {
      const t = i1A;
      const r = ROOT_3_HALF * i1B;
      if (task === PROBE) code = DONE;
      else if (t * signA > 0 || (r - 0.5 * t) * signB > 0 || (-r - 0.5 * t) * signC > 0) code = DIODE_EMPTY;
      else if (blocked >= 0) {
        const top = w[W.topRail] * ln + w[W.topV];
        const bottom = w[W.lowRail] * ln + w[W.lowV];
        if (
          ((blocked === 0 || (blocked === 3 && legA === 0)) && (va > top || va < bottom)) ||
          ((blocked === 1 || (blocked === 3 && legB === 0)) && (vb > top || vb < bottom)) ||
          ((blocked === 2 || (blocked === 3 && legC === 0)) && (vz > top || vz < bottom))
        )
          code = POLE_FREE;
      }
      if (code === DONE && task === RUN && ln > k.avalanche_V !== gAvalanche > 0) code = AVALANCHE_TURNS;
      if (code !== DONE || task === PROBE) {
        w[W.i1A] = t;
        w[W.i1B] = i1B;
        w[W.pole] = va;
        w[W.pole + 1] = vb;
        w[W.pole + 2] = vz;
        w[W.link] = ln;
        if (task === PROBE) return DONE;
        break;
      }
    }

    // The step is taken: energy, then the new state.
    const ipMean = (emf + lead * ip - ln) * slope;
    const drawn = railA * tA + railB * tb + railC * tc;
    const into = ipMean - ln * load + avalanche - drawn;
    charge += ipMean;
    packHeat += ipMean * ipMean;
    linkHeat += into * into;
    link2 += ln * ln;
    if (gAvalanche > 0) avalancheHeat += gAvalanche * (ln - k.avalanche_V) * ln;
    heatA += tA * (railA * ln - va);
    heatB += tb * (railB * ln - vb);
    heatC += tc * (railC * ln - vz);
    squareA += tA * tA;
    squareB += tb * tb;
    squareC += tc * tc;
    const ring = 0.5 * (loop + loopEnd);
    ringHeat += (w[W.loopOhm] * ring - 2 * turns * ohm * tA) * ring;
    poleSumA += va;
    poleSumB += vb;
    poleSumC += vz;
    const rotor2 = wr + wr1;
    const chuck2 = wc + wc1;
    const body2 = wb + wb1;
    hold1 -= hold * rotor2;
    mesh1 += mesh * rotor2;
    drag1 += rotor2 * rotor2;
    gear1 += damper * (rotor2 * perRatio - chuck2 + body2);
    clutch1 += stiff * to * slipped;
    chuck1 -= rub * (chuck2 - body2);
    work1 -= taken * chuck2;

    slopeA = (i1A - i0A) * perDt;
    slopeB = (i1B - i0B) * perDt;
    const f = 1.5 - 0.5 * (c1 * c1 + s1 * s1);
    c0 = c1 * f;
    s0 = s1 * f;
    const qc1 = qcm * chSlot - qsm * shSlot;
    const qs1 = qsm * chSlot + qcm * shSlot;
    const outQ = half * k.slots * (wr1 - wr);
    const qct = qc1 - outQ * qs1;
    const qst = qs1 + outQ * qc1;
    const fq = 1.5 - 0.5 * (qct * qct + qst * qst);
    qc0 = qct * fq;
    qs0 = qst * fq;
    psiA = endA;
    psiB = endB;
    loop = loopEnd;
    i0A = i1A;
    i0B = i1B;
    x0 = x1;
    q0 = q1;
    angle += half * rotor2;
    twistRate = (wr1 * perRatio - wc1 + wb1 - rate0) * perDt;
    twist += half * (rotor2 * perRatio - chuck2 + body2) - slipped;
    slip += slipped;
    chuckAngle += half * chuck2;
    bodyAngle += half * body2;
    wr = wr1;
    wc = wc1;
    wb = wb1;
    vc += perC * into;
    ip = slope > 0 && lead > 0 ? 2 * ipMean - ip : ipMean;
    link = ln;
    done++;
    steps--;
  }

  x[X.psiA] = psiA;
  x[X.loop] = loop;
  x[X.fluxD] = x0;
  x[X.fluxQ] = q0;
  x[X.psiB] = psiB;
  x[X.iA] = i0A;
  x[X.iB] = i0B;
  x[X.slopeA] = slopeA;
  x[X.slopeB] = slopeB;
  x[X.cos] = c0;
  x[X.sin] = s0;
  x[X.slotCos] = qc0;
  x[X.slotSin] = qs0;
  x[X.angle] = angle;
  x[X.rotor] = wr;
  x[X.twist] = twist;
  x[X.twistRate] = twistRate;
  x[X.slip] = slip;
  x[X.chuckAngle] = chuckAngle;
  x[X.chuck] = wc;
  x[X.bodyAngle] = bodyAngle;
  x[X.body] = wb;
  x[X.capacitor] = vc;
  x[X.pack] = ip;
  x[X.floatPole] = floatPole;
  x[X.link] = link;
  x[X.airGap] = airGap;
  x[X.gearTorque] = passed;
  x[X.loadTorque] = taken;
  if (task === RUN) {
    x[X.left] -= done;
    x[X.inPeriod] = x[X.end] - x[X.left] * dt;
  } else x[X.inPeriod] += done * dt;
  w[W.sums] = charge;
  w[W.sums + 1] = packHeat;
  w[W.sums + 2] = linkHeat;
  w[W.sums + 3] = link2;
  w[W.sums + 4] = avalancheHeat;
  w[W.sums + 5] = heatA;
  w[W.sums + 6] = heatB;
  w[W.sums + 7] = heatC;
  w[W.sums + 8] = squareA;
  w[W.sums + 9] = squareB;
  w[W.sums + 10] = squareC;
  w[W.sums + 11] = ringHeat;
  w[W.sums + 12] = hold1;
  w[W.sums + 13] = mesh1;
  w[W.sums + 14] = drag1;
  w[W.sums + 15] = gear1;
  w[W.sums + 16] = clutch1;
  w[W.sums + 17] = chuck1;
  w[W.sums + 18] = work1;
  w[W.sums + 19] = poleSumA;
  w[W.sums + 20] = poleSumB;
  w[W.sums + 21] = poleSumC;
  return code;
}
