/**
 * Heat: where the losses of an update go, what gets warm, and what warmth does to resistances, diodes and magnets.
 *
 * Model   winding -> housing -> air (two nodes); each leg -> common sink -> air; the magnets follow the housing.
 *         R = R20 (1 + 0.00393 (T - 20)); Rds = R25 (1 + a dT + b dT^2), more while the gate supply is low; the diode
 *         threshold falls with T. Magnet flux = lambda20 (1 + a (T - 20)); a demagnetizing current beyond the knee,
 *         which comes earlier when hot, takes a share of it for good.
 * Scheme  implicit Euler, once an update: stable for any step, off by half an update over a time constant.
 * Source  copper coefficient: IEC 60028 (from memory). Magnet coefficients: advancedmagnets.com (read). Two nodes and
 *         constants from catalog values: C = tau / R, as motor catalogs print them.
 */
import type { BridgeParams, DrillParams, HeatParams, MagnetParams } from './params.ts';
import { slot } from './slots.ts';
import type { WindingMap } from './winding.ts';
import { work } from './work.ts';

/** Temperature coefficient of copper at 20 °C [1/K]. */
export const COPPER_1_K = 0.00393;
const T20_K = 293.15;
const T25_K = 298.15;

const X = {
  air: slot('ambient'),
  winding: slot('windingHeat'),
  housing: slot('housingHeat'),
  magnetHeat: slot('magnetHeat'),
  leg: slot('heatA'),
  sink: slot('sinkHeat'),
  boot: slot('bootA'),
  magnet: slot('magnet'),
  fluxLost: slot('fluxLost'),
  gateLess: slot('gateLessA'),
  motorHot: slot('motorHot'),
  hotIn: slot('hotIn'),
  bearing: slot('bearingMore'),
  psiA: slot('psiAlpha'),
  psiB: slot('psiBeta'),
  iA: slot('iAlpha'),
  iB: slot('iBeta'),
  cos: slot('cos'),
  sin: slot('sin'),
  rotor: slot('rotorSpeed'),
  sumHeat: slot('sumHeatA'),
  sumCopper: slot('sumCopper'),
  sumHold: slot('sumHold'),
  sumMesh: slot('sumMesh'),
  sumDrag: slot('sumDrag'),
  copper: slot('lossCopper'),
  iron: slot('lossIron'),
  lossRotor: slot('lossRotor'),
  gear: slot('lossGear'),
} as const;

const PERIOD = work('period');
const OHM = work('windingOhm');
const HIGH = work('highA');
const LOW = work('lowA');
const DIODE = work('diode');
const BOUND = work('bound');
const DRAG = work('drag');

/** Everything at the temperature of the air, the magnets whole. */
export function startHeat(x: Float64Array, p: DrillParams): void {
  const air = p.heat.ambient_K;
  x[X.air] = air;
  x[slot('cellHeat')] = air;
  for (const at of [X.winding, X.housing, X.magnetHeat, X.leg, X.leg + 1, X.leg + 2, X.sink]) x[at] = air;
  for (let k = 0; k < 3; k++) x[X.boot + k] = p.bridge.boot_V;
  x[X.magnet] = p.winding.magnet_Wb * (1 + p.magnet.temp_1_K * (air - T20_K));
}

/** Start of an update: resistances, thresholds and drag as they are at the present temperatures and flux. */
export function beginHeat(x: Float64Array, w: Float64Array, p: DrillParams): void {
  const { bridge, winding, shaft } = p;
  if (x[X.motorHot] > x[X.hotIn]) heatUp(x);
  w[OHM] = winding.r_ohm * (1 + COPPER_1_K * (x[X.winding] - T20_K));
  let warmth = 0;
  for (let k = 0; k < 3; k++) {
    const dT = x[X.leg + k] - T25_K;
    const rds = bridge.rds_ohm * (1 + dT * (bridge.rdsTemp_1_K + dT * bridge.rdsTemp2_1_K2));
    const less = x[X.gateLess + k];
    w[LOW + k] = less > 0 ? rds * gateFactor(bridge.boot_V - less, bridge) : rds;
    w[HIGH + k] = rds * gateFactor(x[X.boot + k], bridge);
    warmth += dT;
  }
  const threshold = bridge.diode_V + (bridge.diodeTemp_V_K * warmth) / 3;
  w[DIODE] = Math.max(threshold, 0);
  const psi2 = x[X.psiA] * x[X.psiA] + x[X.psiB] * x[X.psiB];
  const pp = winding.polePairs;
  const speed = x[X.rotor] < 0 ? -x[X.rotor] : x[X.rotor];
  w[BOUND] = shaft.rotorFriction_Nm + x[X.bearing] + pp * winding.ironHysteresis_S_s * psi2;
  w[DRAG] = shaft.rotorViscous_Nms + shaft.windage_Nms2 * speed + pp * pp * winding.ironEddy_S * psi2;
}

/** The motor has been made hotter: winding, housing and magnets at once. A fault that ends lets it cool down. */
function heatUp(x: Float64Array): void {
  const more = x[X.motorHot] - x[X.hotIn];
  x[X.winding] += more;
  x[X.housing] += more;
  x[X.magnetHeat] += more;
  x[X.hotIn] = x[X.motorHot];
}

/** Most by which a lack of gate voltage raises the resistance of a switch. */
export const WEAKEST_GATE = 20;

/** Resistance of a switch over its full one, for a gate supply of boot_V: conductance grows from half of bootLow_V on. */
function gateFactor(boot_V: number, p: BridgeParams): number {
  const threshold = 0.5 * p.bootLow_V;
  if (boot_V >= p.gateFull_V) return 1;
  const over = boot_V - threshold;
  return over > 0 ? Math.min(WEAKEST_GATE, (p.gateFull_V - threshold) / over) : WEAKEST_GATE;
}

/** End of an update: books the sums of the kernel by their causes and warms what they heat. */
export function endHeat(x: Float64Array, w: Float64Array, p: DrillParams): void {
  const { heat, bridge, shaft } = p;
  const dt = w[PERIOD];
  // Bearing, iron hysteresis and mesh share one dry friction; viscous drag, windage and eddy currents one slope.
  const held = x[X.sumHold] - x[X.sumMesh];
  const bearing = w[BOUND] > 0 ? (held * (shaft.rotorFriction_Nm + x[X.bearing])) / w[BOUND] : held;
  const speed = x[X.rotor] < 0 ? -x[X.rotor] : x[X.rotor];
  const air = w[DRAG] > 0 ? Math.min(1, (shaft.rotorViscous_Nms + shaft.windage_Nms2 * speed) / w[DRAG]) : 1;
  const iron = held - bearing + x[X.sumDrag] * (1 - air);
  x[X.gear] += x[X.sumMesh];
  x[X.lossRotor] += bearing + x[X.sumDrag] * air;
  x[X.iron] += iron;
  x[X.copper] += x[X.sumCopper];

  heatMotor(x, dt, heat, x[X.sumCopper], iron);
  const perSink = 1 / bridge.junctionSink_K_W;
  let flow = 0;
  for (let k = 0; k < 3; k++) {
    const c = bridge.junction_J_K;
    const g = (dt * perSink) / c;
    x[X.leg + k] = (x[X.leg + k] + x[X.sumHeat + k] / c + g * x[X.sink]) / (1 + g);
    flow += (x[X.leg + k] - x[X.sink]) * perSink;
    x[X.sumHeat + k] = 0;
  }
  const out = dt / (bridge.sinkAir_K_W * bridge.sink_J_K);
  x[X.sink] = (x[X.sink] + (dt * flow) / bridge.sink_J_K + out * x[X.air]) / (1 + out);
  x[X.sumCopper] = 0;
  x[X.sumHold] = 0;
  x[X.sumMesh] = 0;
  x[X.sumDrag] = 0;
}

/** Winding and housing, solved together; the magnets follow the housing. */
export function heatMotor(x: Float64Array, dt_s: number, p: HeatParams, winding_J: number, housing_J: number): void {
  const g = dt_s / p.windingHousing_K_W;
  const a = 1 + g / p.winding_J_K;
  const d = 1 + g / p.housing_J_K + dt_s / (p.housingAir_K_W * p.housing_J_K);
  const b = g / p.winding_J_K;
  const c = g / p.housing_J_K;
  const u = x[X.winding] + winding_J / p.winding_J_K;
  const v = x[X.housing] + housing_J / p.housing_J_K + (dt_s * x[X.air]) / (p.housingAir_K_W * p.housing_J_K);
  const det = a * d - b * c;
  x[X.winding] = (d * u + b * v) / det;
  x[X.housing] = (a * v + c * u) / det;
  const m = dt_s / p.magnet_s;
  x[X.magnetHeat] = (x[X.magnetHeat] + m * x[X.housing]) / (1 + m);
}

/**
 * End of an update: the flux that the magnets have now. The linkage of the winding moves with it, so that no current
 * jumps; what that leaves out is the voltage of a flux that changes over milliseconds, some millivolts.
 */
export function renewMagnet(x: Float64Array, p: MagnetParams, map: WindingMap): void {
  const c = x[X.cos];
  const s = x[X.sin];
  const id = c * x[X.iA] + s * x[X.iB];
  const dT = x[X.magnetHeat] - T20_K;
  const knee = p.knee_A * Math.max(0, 1 + p.kneeTemp_1_K * dT);
  if (-id > knee) {
    const lost = Math.min(0.9, (p.kneeLoss * (-id - knee)) / p.knee_A);
    if (lost > x[X.fluxLost]) x[X.fluxLost] = lost;
  }
  const flux = map.magnet_Wb * (1 + p.temp_1_K * dT) * (1 - x[X.fluxLost]);
  const grown = flux - x[X.magnet];
  if (grown === 0) return;
  const c2 = 2 * c * c - 1;
  const c3 = c2 * c - 2 * s * c * s;
  const s3 = 2 * s * c * c + c2 * s;
  const d = grown * (1 + map.harmonicD * (2 * c3 * c3 - 1));
  const q = grown * map.harmonicQ * 2 * s3 * c3;
  x[X.psiA] += c * d - s * q;
  x[X.psiB] += s * d + c * q;
  x[X.magnet] = flux;
}
