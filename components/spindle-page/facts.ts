/** Turns the latest sample into the words of the head, the rail and Ahead. */
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import type { AheadFacts } from '../ahead-list/ahead-list.ts';
import type { HeadFacts } from '../head-bar/head-bar.ts';
import type { Session } from '../session/session.ts';

/** Controllers by the name that a person reads. */
const CONTROLLERS: Readonly<Record<string, string>> = {
  'hall-six-step': 'Built-in six-step, three Halls',
  sensorless: 'Built-in sensorless, three shunts',
};
const LOADS: Readonly<Record<string, string>> = {
  nothing: 'Nothing in the chuck',
  screw: 'Screw 5 × 60, pine slat on larch leg',
  stop: 'A hard stop',
  wood: 'Drill bit 16 mm, slat of pine',
  steel: 'Drill bit 5 mm, steel plate of 4 mm',
  joint: 'Test joint, 6 N·m',
};
/** Below this the chuck counts as standing [rad/s]. */
const STANDS_RAD_S = 0.2;

/** State and what it means for the six switches. */
export function stateOf(session: Session): { state: string; detail: string } {
  const { record, info } = session;
  const { now } = record;
  const legs = now[S.gates] === 0 ? 'all legs open' : 'legs switching';
  const trip = now[S.tripReason];
  if (record.headValue('fault')) return { state: 'Not valid', detail: 'the model stands still' };
  if (record.headValue('stopped')) return { state: 'Stopped', detail: 'all legs open' };
  if (!record.headValue('running')) return { state: 'Frozen', detail: `at ${now[S.time].toFixed(4)} s` };
  if (trip !== 0 && now[S.trigger] > 0) return { state: 'Tripped', detail: info.tripText[trip] ?? `reason ${trip}` };
  if (now[S.controllerState] === 0 && now[S.trigger] === 0)
    return { state: 'At rest', detail: 'no supply, all legs open' };
  const text = info.stateText[now[S.controllerState]] ?? '';
  if (now[S.trigger] === 0) {
    const turns = Math.abs(now[S.chuckSpeed]) > STANDS_RAD_S;
    return {
      state: turns ? 'Running down' : 'At rest',
      detail: now[S.link] > 6 ? `${legs}, link runs down` : 'no supply',
    };
  }
  return { state: capital(text) || 'Driving', detail: legs };
}

/** Everything that the head shows. */
export function headFacts(session: Session, demonstration: boolean): HeadFacts {
  const { record, info, hands } = session;
  const { state, detail } = stateOf(session);
  const ratio = record.headValue('running') ? record.headValue('ratio') : 0;
  const load = LOADS[info.loads[hands.meets]] ?? info.loads[hands.meets];
  return {
    job: 'Garden bench, by hand',
    jobDetail: `${load}. Gear ${hands.gear}.`,
    controller: CONTROLLERS[info.controller] ?? info.controller,
    coupling: `In-process. ${share(ratio)} of life.`,
    state: demonstration && state === 'Driving' ? 'Demonstration' : state,
    stateDetail: detail,
    lost_s: record.headValue('lost_s'),
  };
}

/** What Ahead says. */
export function aheadFacts(session: Session, demonstration: boolean): AheadFacts {
  const { record, info, hands } = session;
  const { now } = record;
  const hasScrew = info.loads[hands.meets] === 'screw';
  const depth_mm = now[S.screwDepth] * 1000;
  return {
    demonstration,
    hasScrew: hasScrew && depth_mm >= 0,
    depth_mm: Number.isFinite(depth_mm) ? depth_mm : 0,
    seat_mm: info.screw.seat_m * 1000,
    advance_mm_s: ((now[S.chuckSpeed] * info.screw.pitch_m) / (2 * Math.PI)) * 1000,
    gear: hands.gear,
    pace: record.headValue('pace'),
  };
}

/** Ratio of virtual to wall time with figures that matter: 1.00, 0.10, 0.0010. */
function share(ratio: number): string {
  if (ratio === 0) return '0.00';
  return ratio >= 0.095 ? ratio.toFixed(2) : ratio.toPrecision(2);
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
