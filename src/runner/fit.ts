/** Does a controller fit the board it is put on? Asked once, from its Hello, before anything runs. */
import type { DrillParams } from '../plant/params.ts';
import { PROTOCOL_VERSION } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import {
  type BoardParams,
  currentPerCount_A,
  currentZero_counts,
  linkPerCount_V,
  phasePerCount_V,
} from '../sensing/board.ts';

/** Largest deviation of a scale, as a share: a part tolerance of 1 % is a fault of the board, more is another board. */
const SCALE_SHARE = 0.01;

/** What is wrong with the protocol that a controller speaks; undefined when nothing is. */
export function versionMisfit({ version }: Hello): string | undefined {
  if (version === PROTOCOL_VERSION) return undefined;
  return `protocol version: the controller says ${version}, this program speaks ${PROTOCOL_VERSION}`;
}

/** What does not fit, one sentence each with both values; empty when the controller may run. */
export function misfits(hello: Hello, board: BoardParams, drill: DrillParams): string[] {
  const found: string[] = [];
  const scale = (what: string, said: number, is: number, unit: string, most = SCALE_SHARE * Math.abs(is)) => {
    if (Math.abs(said - is) <= most) return;
    found.push(`${what}: the controller says ${short(said)} ${unit}, the board has ${short(is)} ${unit}`);
  };
  const version = versionMisfit(hello);
  if (version !== undefined) found.push(version);
  scale('PWM frequency', hello.pwm_Hz, drill.bridge.pwm_Hz, 'Hz', 0);
  scale('update points a PWM period', hello.updates, drill.bridge.updates, '', 0);
  scale('bits of the converter', hello.bits, board.bits, '', 0);
  const range_counts = 2 ** board.bits;
  scale('current of one count', hello.currentPerCount_A, currentPerCount_A(board), 'A');
  scale('zero current', hello.currentZero_counts, currentZero_counts(board), 'counts', SCALE_SHARE * range_counts);
  scale('link voltage of one count', hello.linkPerCount_V, linkPerCount_V(board), 'V');
  const triggerMost = SCALE_SHARE * range_counts;
  scale('trigger released', hello.triggerLow_counts, board.triggerLow_counts, 'counts', triggerMost);
  scale('trigger pressed', hello.triggerHigh_counts, board.triggerHigh_counts, 'counts', triggerMost);
  const { series, ocvCell_V } = drill.pack;
  const full_V = series * ocvCell_V[ocvCell_V.length - 1];
  const most_V = range_counts * linkPerCount_V(board);
  if (full_V > most_V) {
    found.push(
      `link voltage: a full pack of ${drill.name} has ${short(full_V)} V, the board reads up to ${short(most_V)} V`,
    );
  }
  const missing = [...hello.shunts].filter((leg) => !board.shunts.includes(leg));
  if (missing.length > 0) {
    found.push(`shunts: the controller reads ${hello.shunts}, the board has ${board.shunts} fitted`);
  }
  const sensor = (what: string, fitted: boolean, said: number | undefined, is: number, unit: string) => {
    if (said === undefined) return;
    if (fitted) scale(what, said, is, unit);
    else found.push(`${what}: the controller says ${short(said)} ${unit}, the board has none fitted`);
  };
  sensor('phase voltage of one count', board.phases, hello.phasePerCount_V, phasePerCount_V(board), 'V');
  sensor('thermistors at 25 °C', board.thermistors, hello.ntc_ohm, board.ntc_ohm, 'ohm');
  sensor('exponent B of the thermistors', board.thermistors, hello.ntcB_K, board.ntcB_K, 'K');
  sensor('pull-up of the thermistors', board.thermistors, hello.ntcPullUp_ohm, board.ntcPullUp_ohm, 'ohm');
  sensor('body rate of one count', board.motion, hello.gyroPerCount_rad_s, board.gyroPerCount_rad_s, 'rad/s');
  sensor('acceleration of one count', board.motion, hello.accelPerCount_m_s2, board.accelPerCount_m_s2, 'm/s²');
  if (hello.halls && !board.halls) found.push('Halls: the controller needs them, the board has none');
  return found;
}

function short(value: number): string {
  return String(Number(value.toPrecision(6)));
}
